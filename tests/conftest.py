"""Whatever a test publishes is remembered in a place of its own; random examples are steady.

None has a deadline, either: a busy machine is not a mistake in the code under test.

A test that fails only now and then tells nobody anything.  New examples are looked for by hand::

    .venv/bin/python -m pytest --hypothesis-profile=default
"""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import settings

settings.register_profile("steady", derandomize=True, database=None, deadline=None)
settings.load_profile("steady")


@pytest.fixture(autouse=True, scope="session")
def cache(tmp_path_factory) -> Iterator[None]:
    patch = pytest.MonkeyPatch()
    patch.setenv("EXPLAINER_CACHE", str(tmp_path_factory.mktemp("cache")))
    yield
    patch.undo()


@pytest.fixture(scope="session")
def examples(cache, tmp_path_factory) -> Path:
    """The site of the example studies, published once for every test that only reads it."""
    into = tmp_path_factory.mktemp("examples") / "site"
    subprocess.run(
        [sys.executable, "-m", "explainer", "publish", "--into", str(into)],
        cwd=Path(__file__).resolve().parents[1], check=True, capture_output=True,
        env={**os.environ, "PYTHONHASHSEED": "1", "TZ": "UTC"},
    )  # fmt: skip
    return into
