"""Numbers, units and signs as they are said aloud, for a script that someone will read."""

from __future__ import annotations

import re

from explainer.words.numerals import figure

_FIGURE = re.compile(r"\d[\d,]*(?:\.\d+)?|\.\d+")


def spoken(text: str) -> str:
    """``text`` with every figure in words."""
    return _FIGURE.sub(lambda found: figure(found.group().rstrip(",")), text)
