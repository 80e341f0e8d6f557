"""How many digits of a published value are reached: ``pytest -rP tests/reference`` shows them."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest

Digits = Callable[[float, float], float]


@pytest.fixture
def digits() -> Digits:
    """``digits(got, published)``: significant digits that agree, −log10 of the relative error.

    The measure NIST and McCullough (1998, Am. Stat. 52:358) use for certified values; a double
    holds 15 to 16, so no more is said.  Against a published 0 the error itself stands in.
    """

    def agreement(got: float, published: float) -> float:
        error = abs(got - published) / (abs(published) or 1.0)
        reached = 15.0 if error == 0 else min(15.0, -math.log10(error))
        print(f"{reached:.1f} digits of {published!r}")
        return reached

    return agreement
