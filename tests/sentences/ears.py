"""Reads sizes back from the words that an ear gets: *a board and a half* is 1.5."""

from __future__ import annotations

import re

from explainer.words.quantity.numerals import cardinal

WORDS = {cardinal(n): n for n in range(1, 100)} | {"a": 1, "an": 1}
PARTS = {"tenth": 10, "eighth": 8, "sixth": 6, "fifth": 5, "quarter": 4, "third": 3, "half": 2,
         "hundredth": 100, "thousandth": 1000, "millionth": 1_000_000}  # fmt: skip


def read_back(text: str) -> float:
    """The size that words name; *a little over* and *under* count as the size itself."""
    words = re.sub(r"\b(?:about|a little over|a little under)\b ?", "", text)
    total, number = 0.0, None
    for word in re.findall(r"[a-z]+(?:-[a-z]+)?|[\d,]+", words):
        one = word.removesuffix("s") if word != "s" else word
        if word[0].isdigit():
            number = float(word.replace(",", ""))
        elif one in PARTS:
            total += (number if number is not None else 1.0) / PARTS[one]
            number = None
            if "and" not in words:
                return total
        elif word == "and":
            total += number or 0.0
            number = None
        elif word in ("of", "per", "in", "on"):
            break
        elif word in WORDS and number is None:
            number = float(WORDS[word])
    return total + (number or 0.0)


def near(text: str, value: float, off: float = 0.15) -> bool:
    """Whether words name a size, give or take; *next to nothing* names one that vanishes."""
    if "next to nothing" in text or "less than one " in text:
        return abs(value) < 0.02
    return value != 0 and abs(read_back(text) / abs(value) - 1) <= off + 1e-9
