#!/bin/sh
# Looks for the newest versions that pyproject.toml allows and writes them down with the hashes of
# all their files, for every system and for Python 3.11 and newer:  sh .locked/renew.sh
#
#   publish.txt   what studies/publish.sh installs     tools.txt   what the scripts here use
#   test.txt      what tests/run.sh installs           *.in        what is asked for beside pyproject
#
# With NAME VERSION it changes that one and leaves the others: sh .locked/renew.sh weasyprint 68.1
# Then: run the tests, read what changed, commit.
set -eu
cd "$(dirname "$0")/.."
. .locked/tools.sh
tools
how=--upgrade
[ $# -lt 2 ] || how="--upgrade-package $1==$2"
locked() {
    file=$1; shift
    "$TOOLS/uv" pip compile --quiet --universal --python-version 3.11 --generate-hashes \
        --no-annotate --no-header --no-emit-index-url --no-emit-find-links $how "$@" -o ".locked/$file"
}
locked publish.txt pyproject.toml .locked/build.in
locked test.txt --extra test pyproject.toml .locked/build.in
locked tools.txt .locked/tools.in
echo "explainer: renewed; now run the tests: sh tests/run.sh"
