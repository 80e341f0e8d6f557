"""Whatever a test publishes is remembered in a place of its own; random examples are steady.

None has a deadline, either: a busy machine is not a mistake in the code under test.

A test that fails only now and then tells nobody anything.  New examples are looked for by hand::

    .venv/bin/python -m pytest --hypothesis-profile=default

``browser`` is a real one, Debian's Chromium, driven by Playwright.  Without one its tests fail,
since a page nobody opened is a page nobody checked.  Where there can be none,
``EXPLAINER_NO_BROWSER=1`` leaves them out; ``EXPLAINER_CHROMIUM`` names another.
"""

from __future__ import annotations

import fcntl
import gc
import os
import shutil
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from hypothesis import settings

if TYPE_CHECKING:
    from playwright.sync_api import Browser

NAMES = ("chromium", "chromium-browser", "google-chrome")

settings.register_profile("steady", derandomize=True, database=None, deadline=None)
settings.load_profile("steady")

# Most of what is made here is needed until its test ends: looking through it finds next to nothing.
gc.set_threshold(50_000, 20, 50)


def pytest_addoption(parser: pytest.Parser) -> None:
    """How many random studies the sentences are held to, and from which seed on; how many kills."""
    parser.addoption("--draws", type=int, default=24)
    parser.addoption("--rendered", type=int, default=1)
    parser.addoption("--first", type=int, default=0)
    parser.addoption("--mutants", type=int, default=12)
    parser.addoption("--kills", type=int, default=4)
    parser.addoption("--every", action="store_true", help="all cases of tests that have many")


#: What is held to the outside world is held each day.
ALWAYS = ("analysis", "reference", "units")
#: Folders whose files take long: they come first, or one file would run alone at the end.
LONG = ("browser", "calibration", "reference", "publish", "editions", "house", "cli", "demo",
        "sentences", "draft", "room", "lift", "proof")  # fmt: skip


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Leaves out most cases of tests that have many, always the same, and the tests marked seldom,
    so that a day's run takes minutes; before an issue is closed all are run (``--every``).  What
    is asked for by name runs."""
    items.sort(key=lambda item: LONG.index(folder) if (folder := _folder(item)) in LONG else 99)
    if config.getoption("--every") or any("::" in name for name in config.args):
        return
    families: dict[str, list[pytest.Item]] = {}
    for item in items:
        families.setdefault(item.nodeid.partition("[")[0], []).append(item)
    taken = {item for cases in families.values() for item in cases[:: _step(cases)]}
    taken -= {item for item in items if item.get_closest_marker("seldom")}
    if left := [item for item in items if item not in taken]:
        config.hook.pytest_deselected(items=left)
        items[:] = [item for item in items if item in taken]


def _folder(item: pytest.Item) -> str:
    return item.path.relative_to(Path(__file__).parent).parts[0]


def _step(cases: list[pytest.Item]) -> int:
    """Every which of a test's cases a day's run takes: fewer, where each takes long."""
    folder, many = _folder(cases[0]), len(cases)
    if folder in ALWAYS or cases[0].get_closest_marker("whole"):
        return 1
    if folder in LONG:
        return 4 if many >= 8 else 2 if many >= 3 else 1
    return 4 if many >= 100 else 2 if many >= 12 else 1


@pytest.fixture(scope="session")
def every(pytestconfig: pytest.Config) -> bool:
    """Whether a test that goes through many things goes through all of them, and not half."""
    return bool(pytestconfig.getoption("--every"))


@pytest.fixture(autouse=True, scope="session")
def cache(tmp_path_factory) -> Iterator[None]:
    patch = pytest.MonkeyPatch()
    patch.setenv("EXPLAINER_CACHE", str(tmp_path_factory.mktemp("cache")))
    yield
    patch.undo()


@pytest.fixture(scope="session")
def examples(cache, tmp_path_factory) -> Path:
    """The site of the example studies, published once for every test that only reads it; tests in
    several processes share it."""
    apart = "PYTEST_XDIST_WORKER" in os.environ
    base = tmp_path_factory.getbasetemp()
    into = (base.parent if apart else base) / "examples" / "site"
    into.parent.mkdir(exist_ok=True)
    with (into.parent / "lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        if not into.exists():
            subprocess.run(
                [sys.executable, "-m", "explainer", "publish", "--into", str(into)],
                cwd=Path(__file__).resolve().parents[1], check=True, capture_output=True,
                env={**os.environ, "PYTHONHASHSEED": "1", "TZ": "UTC"},
            )  # fmt: skip
    return into


def chromium() -> str:
    """Where the browser is."""
    named = os.environ.get("EXPLAINER_CHROMIUM")
    found = named or next(filter(None, map(shutil.which, NAMES)), None)
    if not found:
        pytest.fail(
            "no Chromium found: sudo apt-get install chromium libatomic1"
            " (or set EXPLAINER_CHROMIUM to one;"
            " EXPLAINER_NO_BROWSER=1 leaves the browser tests out)",
            pytrace=False,
        )
    return found


@contextmanager
def launched() -> Iterator[Browser]:
    """The browser, running."""
    from playwright.sync_api import sync_playwright

    # Root may not use the sandbox; everything shown is ours.  Containers have little shared memory.
    flags = ["--disable-gpu", "--disable-dev-shm-usage"]
    flags += ["--no-sandbox"] if os.geteuid() == 0 else []
    path = chromium()
    with sync_playwright() as play:
        chrome = play.chromium.launch(executable_path=path, args=flags)
        yield chrome
        chrome.close()


@pytest.fixture(scope="session")
def browser():
    if os.environ.get("EXPLAINER_NO_BROWSER") == "1":
        pytest.skip("browser tests left out, as EXPLAINER_NO_BROWSER=1 says")
    with launched() as chrome:
        yield chrome


if __name__ == "__main__":  # Does a browser open here at all?
    with launched() as chrome:
        chrome.new_page().goto("about:blank")
