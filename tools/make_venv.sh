#!/bin/sh
# Make a virtual environment with a Python that is new enough: make_venv.sh FOLDER [PYTHON].
set -eu
folder=$1
wanted=${2:-}
new_enough='import sys; sys.exit(sys.version_info < (3, 11))'

found=
for candidate in ${wanted:-python3 python3.14 python3.13 python3.12 python3.11 python}; do
    if command -v "$candidate" >/dev/null 2>&1 && "$candidate" -c "$new_enough" >/dev/null 2>&1; then
        found=$candidate
        break
    fi
done
if [ -z "$found" ]; then
    echo "fairpull needs Python 3.11 or newer; none was found as: ${wanted:-python3, python3.11 ... python3.14}." >&2
    echo "Install one (Debian, Ubuntu: apt-get install python3 python3-venv), or name it: make PYTHON=/path/to/python3.12 ..." >&2
    exit 1
fi
if ! "$found" -c 'import venv, ensurepip' >/dev/null 2>&1; then
    echo "$found cannot make virtual environments: its modules venv and ensurepip are missing." >&2
    echo "On Debian and Ubuntu they are a package of their own: apt-get install python3-venv" >&2
    exit 1
fi
# A half-made environment would look finished to make, so it is removed when making it fails.
if ! "$found" -m venv --clear "$folder" >&2; then
    rm -rf "$folder"
    echo "making $folder failed (the lines above say why)." >&2
    echo "If ensurepip is what is missing, on Debian and Ubuntu: apt-get install python3-venv" >&2
    exit 1
fi
