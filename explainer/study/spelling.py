"""How a name may be spelled and still be read as that name: one form for the name and the text.

Case, accents and marks struck through letters go, and what nobody sees.  A German or Nordic letter
is read in two ways, as its plain letter and as the two that are typed for it (``Hämmerling``,
``Hammerling``, ``Haemmerling``); one of another alphabet that looks like a Latin one as that one.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache

#: Letters that no accent makes, and apostrophes that count as letters.
_PLAIN = {"ø": "o", "ł": "l", "đ": "d", "æ": "ae", "œ": "oe", "ı": "i", "þ": "th", "ß": "ss",
          "ẞ": "SS", "Ø": "O", "Ł": "L", "Đ": "D", "Æ": "AE", "Œ": "OE", "Þ": "TH",
          "ʼ": "'", "ʹ": "'"}  # fmt: skip
#: The letters that are typed where a keyboard lacks the one.
_TYPED = {"ä": "ae", "ö": "oe", "ü": "ue", "ø": "oe", "å": "aa",
          "Ä": "Ae", "Ö": "Oe", "Ü": "Ue", "Ø": "Oe", "Å": "Aa"}  # fmt: skip
#: Letters that look like Latin ones: the pairs of one letter with one in Unicode's confusables.txt
#: (Unicode Technical Standard 39, Security Mechanisms; from memory) for Greek and Cyrillic.
_LIKE = dict(zip(
    "ΑΒΕΖΗΙΚΜΝΟΡΤΥΧϹαγινορυϲ" "АВЕЅІЈКМНОРСТУХҮԌԚԜаеіјорсухѕһԁԛԝүѵӏ",
    "ABEZHIKMNOPTYXCayivopuc" "ABESIJKMHOPCTYXYGQWaeijopcyxshdqwyvl",
    strict=True,
))  # fmt: skip
_OTHER_ALPHABET = re.compile("[\u0370-\u03ff\u0400-\u052f]")


@dataclass(frozen=True)
class Spelled:
    """A text in one of its readings."""

    text: str
    whole: str
    """As it was written."""
    places: Sequence[int]
    """The place in it of each character of the reading, and its end."""

    def written(self, start: int, end: int) -> str:
        """What was written where the reading has a stretch."""
        return self.whole[self.places[start] : self.places[end - 1] + 1]


def spelled(text: str) -> tuple[Spelled, ...]:
    """The readings of a text, as it is but for accents first; with its capitals."""
    if text.isascii():
        return (Spelled(text, text, range(len(text) + 1)),)
    ways = [_read(text, _plain)]
    whole = unicodedata.normalize("NFC", text)
    if any(letter in whole for letter in _TYPED):
        ways.append(_read(whole, _typed))
    if _OTHER_ALPHABET.search(text):
        ways.append(_read(text, _like))
    return tuple({way.text: way for way in ways}.values())


def folded(text: str) -> str:
    """In lower case, without accents."""
    return text.lower() if text.isascii() else spelled(text)[0].text.casefold()


def _read(text: str, letter: Callable[[str], str]) -> Spelled:
    made: list[str] = []
    places: list[int] = []
    for place, character in enumerate(text):
        new = letter(character)
        made.append(new)
        places += [place] * len(new)
    return Spelled("".join(made), text, (*places, len(text)))


@cache
def _plain(letter: str) -> str:
    if letter in _PLAIN:
        return _PLAIN[letter]
    if unicodedata.category(letter) in ("Lo", "Cf", "Mn", "Me"):  # none of these has an accent
        return letter if unicodedata.category(letter) == "Lo" else ""
    apart = unicodedata.normalize("NFKD", letter)
    return "".join(_PLAIN.get(c, c) for c in apart if unicodedata.category(c) not in ("Mn", "Me"))


def _typed(letter: str) -> str:
    return _TYPED.get(letter) or _plain(letter)


def _like(letter: str) -> str:
    return _LIKE.get(letter) or _plain(letter)
