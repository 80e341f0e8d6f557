#!/bin/sh
# Sets everything up and runs every check and test. Arguments go to pytest: sh tests/run.sh -k scatter
set -eu
cd "$(dirname "$0")/.."
. ./.prepare.sh
prepare "[test]"
# The tests start the command some thousand times: what Python compiled of it is kept, always.
unset PYTHONDONTWRITEBYTECODE
if [ $# -eq 0 ]; then
    say "ruff: style and mistakes"
    .venv/bin/ruff check .
    say "mypy: types"
    .venv/bin/mypy
    say "known vulnerabilities of what is installed"
    sh .locked/audit.sh
    # A file's tests stay together, so that what they share is published once.
    # One more than there are processors, as some wait for a child or a clock. One that hangs ends
    # with a name and a trace; none takes a quarter of these seconds.
    workers=$(( $(nproc) < 4 ? $(nproc) + 1 : 4 ))
    set -- -n "$workers" --dist loadfile --timeout 900
fi
say "pytest: everything else"
exec .venv/bin/python -m pytest "$@"
