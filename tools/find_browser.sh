#!/bin/sh
# Browser tests drive a Chromium. Use the one that is there; install Debian's where that is allowed; else say what is
# skipped. Never fails: the tests that need no browser are worth running all the same.
set -u
for name in chromium chromium-browser google-chrome; do
    command -v "$name" >/dev/null 2>&1 && exit 0
done
[ -n "${FAIRPULL_CHROMIUM:-}" ] && exit 0
if [ "$(id -u)" != 0 ]; then
    echo "no chromium here and not root: browser tests will be skipped (Debian, Ubuntu: apt-get install chromium)"
    exit 0
fi
if ! command -v apt-get >/dev/null 2>&1; then
    echo "no chromium here and no apt-get: browser tests will be skipped (install a Chromium, or name it in FAIRPULL_CHROMIUM)"
    exit 0
fi
echo "installing chromium for the browser tests (once) ..."
log=$(mktemp)
DEBIAN_FRONTEND=noninteractive
export DEBIAN_FRONTEND
if { timeout 300 apt-get update && timeout 900 apt-get install -y --no-install-recommends chromium; } >"$log" 2>&1 </dev/null; then
    rm -f "$log"
else
    tail -n 3 "$log"
    rm -f "$log"
    echo "chromium could not be installed (lines above): browser tests will be skipped"
fi
exit 0
