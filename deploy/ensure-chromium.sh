#!/bin/sh
# Finds Chromium for the browser tests. As root on Debian or Ubuntu, installs it
# and its headless shell, which halves the processor time of most tests.
set -eu
can_install() { [ "$(id -u)" = 0 ] && command -v apt-get >/dev/null; }
install() { DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends "$@" >/dev/null; }
shell() {
  [ -n "${PLAYWRIGHT_CHROMIUM:-}" ] || [ -x /usr/bin/chromium-headless-shell ] || ! can_install && return 0
  { apt-get update -qq >&2 && install chromium-headless-shell; } || echo "The browser tests take longer without Chromium's headless shell." >&2
}
for c in "${PLAYWRIGHT_CHROMIUM:-}" /usr/bin/chromium /usr/bin/chromium-browser /usr/bin/google-chrome; do
  [ -n "$c" ] && [ -x "$c" ] && { shell; exit 0; }
done
if can_install; then
  echo "Installing Chromium for the browser tests." >&2
  apt-get update -qq >&2
  install chromium chromium-headless-shell fonts-noto-core && exit 0
  install chromium fonts-noto-core && exit 0 # releases that have no such package
fi
echo "Chromium is missing. Install it (Debian, Ubuntu: apt-get install chromium; macOS: set PLAYWRIGHT_CHROMIUM to Chrome's program)." >&2
exit 1
