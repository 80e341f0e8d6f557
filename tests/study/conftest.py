"""A small sound study in a workspace of its own, which tests may break."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

SOUND = Path(__file__).parent / "sound"


@pytest.fixture
def bench(tmp_path: Path) -> Path:
    """A copy of the sound study, in ``studies/bench`` of an otherwise empty workspace."""
    folder = tmp_path / "studies" / "bench"
    shutil.copytree(SOUND, folder)
    return folder
