#!/bin/sh
# Asks the registry whether any locked version is known to be vulnerable:  sh .locked/audit.sh
# Ends with 1 where one is; where the registry keeps no such data, that is said and nothing fails.
set -eu
cd "$(dirname "$0")/.."
. .locked/tools.sh
if ! tools >/dev/null 2>&1; then
    echo "explainer: the tools to look for known vulnerabilities cannot be had; not looked for"
    exit 0
fi
timeout 300 "$TOOLS/pip-audit" --requirement .locked/test.txt --no-deps --disable-pip \
    --progress-spinner off --format json > .venv/audit.json 2>/dev/null || true
exec "$TOOLS/python" .locked/audited.py .venv/audit.json
