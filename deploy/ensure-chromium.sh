#!/bin/sh
# Find Chromium for the browser tests. As root on Debian or Ubuntu, install it.
set -eu
for c in "${PLAYWRIGHT_CHROMIUM:-}" /usr/bin/chromium /usr/bin/chromium-browser /usr/bin/google-chrome; do
  [ -n "$c" ] && [ -x "$c" ] && exit 0
done
if [ "$(id -u)" = 0 ] && command -v apt-get >/dev/null; then
  echo "Installing Chromium for the browser tests" >&2
  apt-get update -qq >&2
  DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends chromium fonts-noto-core >/dev/null && exit 0
fi
echo "Chromium is missing: install it (Debian, Ubuntu: apt-get install chromium; macOS: set PLAYWRIGHT_CHROMIUM to Chrome's program)." >&2
exit 1
