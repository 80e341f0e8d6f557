#!/bin/sh
# Sets everything up and publishes the example studies into site/. Safe to run again.
set -eu
cd "$(dirname "$0")/.."
. ./.prepare.sh
prepare ""
say "publishing the studies into site/"
.venv/bin/explainer publish --into site "$@"
say "done: open site/index.html in a browser"
