#!/bin/sh
# Compares Newel with SciPy and scikit-learn on thousands of random inputs, and
# writes the report: crosscheck.sh NEWEL REPORT. Not part of the tests.
set -eu
[ $# -eq 2 ] || { echo "usage: $0 NEWEL REPORT, for example $0 bin/newel docs/crosscheck.md" >&2; exit 2; }

python=
for p in python3 /usr/bin/python3; do
  if "$p" -c 'import scipy, sklearn' 2>/dev/null; then python=$p; break; fi
done
if [ -z "$python" ] && [ "$(id -u)" = 0 ] && command -v apt-get >/dev/null; then
  apt-get update -qq
  DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends python3-scipy python3-sklearn >/dev/null
  python=/usr/bin/python3
fi
if [ -z "$python" ] || ! "$python" -c 'import scipy, sklearn'; then
  echo "SciPy and scikit-learn are missing: install them (Debian, Ubuntu: apt-get install python3-scipy python3-sklearn)" >&2
  exit 1
fi
exec "$python" "$(dirname "$0")/crosscheck.py" "$1" "$2"
