#!/bin/sh
# The book's tests run on a real PostgreSQL too. Use the server programs that are there; install Debian's where that is
# allowed; else say what is skipped. Never fails: the same tests run on the embedded store all the same.
set -u
command -v initdb >/dev/null 2>&1 && exit 0
for found in /usr/lib/postgresql/*/bin/initdb; do
    [ -x "$found" ] && exit 0
done
if command -v pg_config >/dev/null 2>&1 && [ -x "$(pg_config --bindir)/initdb" ]; then
    exit 0
fi
if [ "$(id -u)" != 0 ]; then
    echo "no PostgreSQL server here and not root: its tests will be skipped (Debian, Ubuntu: apt-get install postgresql)"
    exit 0
fi
if ! command -v apt-get >/dev/null 2>&1; then
    echo "no PostgreSQL server here and no apt-get: its tests will be skipped"
    exit 0
fi
echo "installing PostgreSQL for the tests of the book (once) ..."
log=$(mktemp)
DEBIAN_FRONTEND=noninteractive
export DEBIAN_FRONTEND
if { timeout 300 apt-get update && timeout 900 apt-get install -y --no-install-recommends postgresql; } >"$log" 2>&1 </dev/null; then
    rm -f "$log"
else
    tail -n 3 "$log"
    rm -f "$log"
    echo "PostgreSQL could not be installed (lines above): its tests will be skipped"
fi
exit 0
