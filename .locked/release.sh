#!/bin/sh
# Builds what a release consists of, into dist/:  sh .locked/release.sh
#   the wheel and the source, and the bill of materials of all they need (CycloneDX 1.6, JSON)
set -eu
cd "$(dirname "$0")/.."
. .locked/tools.sh
tools
version=$(sed -n 's/^__version__ = "\(.*\)"$/\1/p' explainer/__init__.py)
# What builds it is locked as well: nothing newer is fetched for it.
"$TOOLS/python" -m build --no-isolation --outdir dist . >/dev/null
bill=dist/explainer-$version.cdx.json
"$TOOLS/cyclonedx-py" requirements --pyproject pyproject.toml --mc-type application \
    --spec-version 1.6 --output-reproducible --output-format JSON \
    --output-file "$bill" .locked/publish.txt 2>dist/said || { cat dist/said >&2; exit 1; }
rm dist/said
"$TOOLS/python" .locked/billed.py "$bill" "$version" \
    "dist/explainer-$version-py3-none-any.whl" "dist/explainer-$version.tar.gz"
echo "explainer: built dist/: the wheel, the source, and explainer-$version.cdx.json"
