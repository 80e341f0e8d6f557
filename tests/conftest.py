"""Whatever a test publishes is remembered in a place of its own."""

from __future__ import annotations

import pytest


@pytest.fixture(autouse=True, scope="session")
def cache(tmp_path_factory):
    patch = pytest.MonkeyPatch()
    patch.setenv("EXPLAINER_CACHE", str(tmp_path_factory.mktemp("cache")))
    yield
    patch.undo()
