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
    say "known vulnerabilities of what is installed"
    sh .locked/audit.sh
    # Beside the tests, since it keeps one processor busy and no more; how it ended is told last.
    types=$(mktemp)
    .venv/bin/mypy > "$types" 2>&1 &
    checking=$!
    # A file's tests stay together, so that what they share is published once; in our own order.
    # Two more than there are processors, as some wait for a child or a clock. One that hangs ends
    # with a name and a trace; none takes a quarter of these seconds.
    workers=$(( $(nproc) < 4 ? $(nproc) + 2 : 4 ))
    set -- -n "$workers" --dist loadfile --no-loadscope-reorder --timeout 900
fi
say "pytest: everything else"
failed=0
.venv/bin/python -m pytest "$@" || failed=$?
[ -n "${checking:-}" ] || exit $failed
say "mypy: types"
wait "$checking" || failed=$((failed ? failed : 1))
cat "$types"
rm "$types"
exit $failed
