"""The one module that the made-up language of the tests needs besides its data."""

from __future__ import annotations

from explainer.words.language import Rules


class Pelk(Rules):
    """One, a few (two to four, twenty-two to twenty-four …) and other; a fraction is other."""

    tag = "qpx"
    forms = ("one", "few", "other")

    def form(self, figures: str) -> str:
        whole = figures.lstrip("−").replace(",", "")
        if not whole.isdigit():
            return "other"
        n = int(whole)
        if n == 1:
            return "one"
        return "few" if n % 10 in (2, 3, 4) and n % 100 not in (12, 13, 14) else "other"

    def noun(self, noun: str, form: str) -> str:
        return noun + {"one": "o", "few": "e", "other": "um"}[form]

    def cardinal(self, n: int) -> str:
        return f"chislo-{n}"

    def ordinal(self, n: int, figures: str) -> str:
        return f"{figures}-si"

    def one_of(self, noun: str) -> str:
        return noun
