#!/bin/sh
# Pin every package with its hashes: make_lock.sh VENV. No registry, no path of this machine goes into the files.
set -eu
venv=$1
pin() {
    "$venv/bin/python" -m uv pip compile --quiet --universal --python-version 3.11 --generate-hashes \
        --no-header --no-emit-index-url --no-emit-find-links --no-annotate --upgrade "$@"
}
pin pyproject.toml --group build --output-file lock/run.txt
pin pyproject.toml --group build --group test --group check --extra mdf --extra postgres --extra shop --constraint lock/run.txt --output-file lock/dev.txt
