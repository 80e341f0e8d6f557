# Sourced by the scripts here: the tools of tools.txt, by their hashes, in an environment of their own.
TOOLS=.venv/tools/bin
tools() {
    [ "$(cat .venv/tools/prepared 2>/dev/null)" = "$(cksum < .locked/tools.txt)" ] && return
    python3 -m venv .venv/tools
    "$TOOLS/python" -m pip install --quiet --disable-pip-version-check --require-hashes \
        -r .locked/tools.txt
    cksum < .locked/tools.txt > .venv/tools/prepared
}
