"""The rules of English that its catalogue cannot hold: plurals, number words, the article."""

from __future__ import annotations

from explainer.words.glossary.entry import plural as regular
from explainer.words.quantity import numerals


class English:
    """``language.Rules`` for American English."""

    tag = "en"
    forms = ("one", "other")

    def form(self, figures: str) -> str:
        """``one`` is exactly 1, however it came about; 1.0 boards are several."""
        return "one" if figures.lstrip("−") == "1" else "other"

    def noun(self, noun: str, form: str) -> str:
        return noun if form == "one" else regular(noun)

    def cardinal(self, n: int) -> str:
        return numerals.cardinal(n)

    def ordinal(self, n: int, figures: str) -> str:
        """``11th``, ``22nd``, ``103rd``."""
        last = {1: "st", 2: "nd", 3: "rd"}.get(n % 10, "th")
        return figures + ("th" if 10 <= n % 100 <= 20 else last)

    def one_of(self, noun: str) -> str:
        """``a drop``, ``an ounce``."""
        return f"{'an' if noun[:1] in 'aeiou' else 'a'} {noun}"
