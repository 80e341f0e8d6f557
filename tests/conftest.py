"""Whatever a test publishes is remembered in a place of its own; random examples are steady.

A test that fails only now and then tells nobody anything.  New examples are looked for by hand::

    .venv/bin/python -m pytest --hypothesis-profile=default
"""

from __future__ import annotations

import pytest
from hypothesis import settings

settings.register_profile("steady", derandomize=True, database=None)
settings.load_profile("steady")


@pytest.fixture(autouse=True, scope="session")
def cache(tmp_path_factory):
    patch = pytest.MonkeyPatch()
    patch.setenv("EXPLAINER_CACHE", str(tmp_path_factory.mktemp("cache")))
    yield
    patch.undo()
