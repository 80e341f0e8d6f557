"""A small version of ``designs.py``: no design fools a verdict more often than luck allows."""

from __future__ import annotations

import importlib.util
import sys
from pathlib import Path
from types import ModuleType

import pytest


def _designs() -> ModuleType:
    name = "calibration_designs"
    if name not in sys.modules:
        place = Path(__file__).with_name("designs.py")
        spec = importlib.util.spec_from_file_location(name, place)
        assert spec is not None and spec.loader is not None
        sys.modules[name] = importlib.util.module_from_spec(spec)
        spec.loader.exec_module(sys.modules[name])
    return sys.modules[name]


DRAWS = 30
#: 30 draws at 5% are 5 or fewer in 99 of 100 runs; the seed is fixed.
MOST = 5


KINDS = list(_designs().WORLDS)
#: From here on a design is a variant of one before it, and one size is enough for every day.
VARIANTS = KINDS.index("printed averages, the same balls")


@pytest.mark.slow
@pytest.mark.parametrize(
    ("kind", "n"),
    [(kind, n) for i, kind in enumerate(KINDS) for n in (6, 20) if n == 20 or i < VARIANTS],
)
def test_a_design_that_fools_is_not_backed(kind: str, n: int) -> None:
    counts = _designs().tally(kind, n, DRAWS)
    assert counts["false backed"] <= MOST
    assert counts["true against"] <= MOST
    if n == 20:
        assert counts["true backed"] >= DRAWS // 2
