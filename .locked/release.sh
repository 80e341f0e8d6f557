#!/bin/sh
# Builds what a release consists of, into dist/:  sh .locked/release.sh
#   the wheel and the source, and the bill of materials of all they need (CycloneDX 1.6, JSON)
set -eu
cd "$(dirname "$0")/.."
. .locked/tools.sh
tools
version=$(sed -n 's/^__version__ = "\(.*\)"$/\1/p' explainer/__init__.py)
"$TOOLS/python" -m build --outdir dist . >/dev/null
"$TOOLS/cyclonedx-py" requirements --pyproject pyproject.toml --mc-type application \
    --spec-version 1.6 --output-reproducible --output-format JSON \
    --output-file "dist/explainer-$version.cdx.json" .locked/publish.txt
echo "explainer: built dist/: the wheel, the source, and explainer-$version.cdx.json"
