#!/bin/sh
# Runs each room's own tests against mutants of its code and prints how many
# they notice: mutate.sh [ROOM…], for example mutate.sh measure. Takes minutes
# per room, so it is not part of the tests.
set -eu
version=v0.6.0
root=$(cd "$(dirname "$0")/../.." && pwd)
go=$(command -v go)
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
trap 'exit 1' HUP INT TERM

if [ $# -eq 0 ]; then
  set -- exact measure stat criterion compute compute/answer compute/observation compute/preference compute/sequence compute/singlecase
fi

mkdir "$work/bin"
GOBIN=$work/bin go install "github.com/go-gremlins/gremlins/cmd/gremlins@$version"

# Gremlins tries only mutants that the coverage profile covers. A profile has no
# blocks for the conditions of a case or for constants, so declare all lines of
# every file covered: each mutant is then tried, and nothing is excused.
cat >"$work/bin/go" <<END
#!/bin/sh
"$go" "\$@" || exit
profile=
for arg; do
  [ "\$profile" != next ] || { profile=\$arg; break; }
  [ "\$arg" != -coverprofile ] || profile=next
done
[ -n "\$profile" ] || exit 0
awk -F: '{ print } NR > 1 && !seen[\$1]++ { print \$1 ":1.1,1000000.1 1 1" }' "\$profile" >"\$profile.all"
mv "\$profile.all" "\$profile"
END
chmod +x "$work/bin/go"

# Gremlins copies the whole module, so give it only the rooms that compute and
# what their tests need.
mkdir -p "$work/module/internal" "$work/module/docs"
cp "$root/go.mod" "$root/go.sum" "$work/module"
cp "$root"/docs/*.md "$work/module/docs"
for package in compute criterion exact measure stat strict timezone verification; do
  cp -R "$root/internal/$package" "$work/module/internal"
done

export RAPID_NOFAILFILE=1 # or a failure found once would be tried against all later mutants
ulimit -v 6000000 # KiB: a mutant may allocate without end
cd "$work/module"
for room; do
  # A room is one package, without those below it.
  PATH=$work/bin:$PATH nice -n 19 gremlins unleash --workers 1 --timeout-coefficient 8 --exclude-files / "./internal/$room" >"$work/log" 2>&1 || {
    cat "$work/log" >&2
    exit 1
  }
  echo "$room"
  sed -n 's/^ *\(LIVED\|NOT COVERED\|NOT VIABLE\)/  \1/p' "$work/log"
  # A mutant that never ends was noticed.
  awk -F'[:,]' '
    /^Killed:/ { killed = $2; lived = $4; missed = $6 }
    /^Timed out:/ { timeout = $2 }
    END {
      all = killed + lived + missed + timeout
      printf "  %d of %d noticed (%.1f %%)\n", killed + timeout, all, all ? 100 * (killed + timeout) / all : 0
    }' "$work/log"
done
