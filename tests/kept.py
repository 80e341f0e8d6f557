"""Lines that a test keeps in a file beside it: what moves is named with what stood there.

They call nothing correct, they only notice.  A change that is meant is read line by line and
written down again by running the test file as a script.
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from pathlib import Path

NUMBER = re.compile(r"-?\d+\.?\d*(?:e[+-]?\d+)?")


def differs(now: str, kept: str, within: float = 1e-9) -> bool:
    """Another word, or a number that is off by more than the last digits kept or ``within``."""
    if NUMBER.sub("#", now) != NUMBER.sub("#", kept):
        return True
    pairs = zip(map(float, NUMBER.findall(now)), map(float, NUMBER.findall(kept)), strict=True)
    return any(not math.isclose(a, b, rel_tol=2e-5, abs_tol=within) for a, b in pairs)


def hold(now: Sequence[str], file: Path, within: float = 1e-9) -> None:
    """AssertionError where a line is not as kept in ``file``; the first five are named."""
    kept = file.read_text(encoding="utf-8").splitlines()
    moved = [f"kept {k}\n now {n}" for n, k in zip(now, kept, strict=False)
             if differs(n, k, within)]  # fmt: skip
    assert not moved, "\n".join(moved[:5])
    assert len(now) == len(kept), f"{file.name}: {len(now)} lines, {len(kept)} kept"


def keep(now: Sequence[str], file: Path) -> None:
    """Writes the lines down."""
    file.parent.mkdir(exist_ok=True)
    file.write_text("\n".join(now) + "\n", encoding="utf-8")
