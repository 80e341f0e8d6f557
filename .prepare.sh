# Sourced by studies/publish.sh and tests/run.sh: makes .venv ready, and says what it does.
# Needs only python3 (3.11 or newer) and the system's package manager; safe to run again.
#
#   prepare EXTRA    EXTRA is empty for publishing, "[test]" for the tests, which want a browser too

say() { printf '%s\n' "explainer: $*"; }
stop() { printf '%s\n' "explainer: $*" >&2; exit 1; }

VENV="python3-venv"
PANGO="libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0"

# What the operating system has to bring: the venv module, and Pango for the PDFs.
has_venv() { python3 -c 'import ensurepip, venv' >/dev/null 2>&1; }

has_pango() {
    python3 -c 'import ctypes
for library in ("libpango-1.0.so.0", "libpangoft2-1.0.so.0", "libharfbuzz-subset.so.0"):
    ctypes.CDLL(library)' >/dev/null 2>&1
}

# Runs a command without its chatter; if it fails, all that it said is shown.
quietly() {
    said=$("$@" 2>&1) && return
    printf '%s\n' "$said" >&2
    return 1
}

install() {
    quietly ${root}apt-get update -qq || return
    quietly ${root}env DEBIAN_FRONTEND=noninteractive \
        apt-get install -y -qq --no-install-recommends "$@"
}

system_packages() {
    wanted=""
    has_venv || wanted="$VENV"
    has_pango || wanted="$wanted $PANGO"
    [ -n "$wanted" ] || return 0
    if [ "$(id -u)" -eq 0 ] && command -v apt-get >/dev/null 2>&1; then
        root=""
        say "the system lacks something; trying apt-get install $wanted"
        install $wanted || say "apt-get could not install it; what it said stands above"
    fi
    has_venv || stop "needs python3's venv module; on Debian: sudo apt-get install $VENV"
    has_pango || say "going on without Pango: no PDFs will be made; on Debian: sudo apt-get install $PANGO"
}

# The tests in a browser want Chromium (EXPLAINER_CHROMIUM names another). Where none opens and
# none can be had, everything else is still worth testing: they are left out, and that is said.
browser_opens() { .venv/bin/python tests/conftest.py >/dev/null 2>&1; }

test_browser() {
    [ "${EXPLAINER_NO_BROWSER:-}" != 1 ] || return 0
    browser_opens && return
    root=""; [ "$(id -u)" -eq 0 ] || root="sudo -n "
    say "no Chromium opens for the browser tests; trying ${root}apt-get install chromium libatomic1"
    install chromium libatomic1 || true
    browser_opens && return
    say "still none (on Debian: sudo apt-get install chromium libatomic1); leaving the browser tests out"
    export EXPLAINER_NO_BROWSER=1
}

prepare() {
    command -v python3 >/dev/null 2>&1 || stop "needs python3, 3.11 or newer: sudo apt-get install python3"
    python3 -c 'import sys; sys.exit(sys.version_info < (3, 11))' \
        || stop "needs Python 3.11 or newer, found $(python3 --version 2>&1)"
    system_packages
    if [ ! -x .venv/bin/python ]; then
        say "making the environment .venv"
        python3 -m venv .venv || stop "python3 -m venv failed; nothing was built"
    fi
    # Every file is one whose hash is written down (.locked/renew.sh): what was tested, no other.
    locked=.locked/publish.txt
    [ "$1" != "[test]" ] || locked=.locked/test.txt
    wanted="$(cat pyproject.toml "$locked" | cksum) $1"
    if [ "$(cat ".venv/prepared$1" 2>/dev/null)" != "$wanted" ]; then
        say "installing what $locked lists (a few minutes the first time)"
        .venv/bin/python -m pip install --quiet --disable-pip-version-check \
            --require-hashes -r "$locked" \
            || stop "pip could not install the packages; is there a network?"
        .venv/bin/python -m pip install --quiet --disable-pip-version-check \
            --no-deps --no-build-isolation -e . || stop "explainer itself could not be installed"
        printf '%s' "$wanted" > ".venv/prepared$1"
    fi
    [ "$1" != "[test]" ] || test_browser
}
