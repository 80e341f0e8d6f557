"""Where a text tells who somebody hidden is, though no full name stands in it plainly.

A full name in a text becomes initials (``people.py``).  What is found here is not as sure to be
theirs (``A. Brightwater`` may be a sister), or cannot be written anew (a link would lead nowhere),
so the author mends it: a last name alone, an initial or a middle one beside it, a name in an
address or in one word.  A first name alone is many people's; ``proof`` points at it.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Collection, Iterator, Mapping
from urllib.parse import unquote

from explainer.study.naming import PARTICLES, folded
from explainer.study.persons import is_person

_WORD = re.compile(r"[^\W\d_]+")
#: What may stand between two words of one name.
_BETWEEN = re.compile(r"[\W_]{1,3}")
#: An address, as far as it goes; what its first part may be long is bounded, so that none is tried
#: twice.
ADDRESS = re.compile(
    r"(?<![a-z])[a-z][a-z+.-]{1,11}://\S+|(?<!\w)www\.\S+|(?<![\w.+%-])[\w.+%-]{1,64}@\S+",
    re.IGNORECASE,
)
_BRACKETS = re.compile(r"\([^()]*\)")
#: What stands behind a name and is no part of it.
_BEHIND = re.compile(r"[\s,]{1,3}(?:jr|jnr|jun|sr|snr|sen|ii|iii|iv)\.?$", re.IGNORECASE)
_LEAST = 3
#: A name in one word is looked for where it is this long: ``jdoe`` may be a word.
_JOINED = 6

#: The words of a name, folded.
Words = tuple[str, ...]
#: What stands in a text, the last name in it (folded), and what its bearer is called in public.
Found = tuple[str, str, str]


def first_and_last(name: str) -> tuple[Words, Words]:
    """The words of somebody's first names and of their last one (``Smith-Jones`` is two), folded,
    of ``Jane van Doe (L)`` as of ``Doe, Jane``; no last one where the name is a single word, or is
    written in a script that parts no words."""
    bare = _BEHIND.sub("", _BRACKETS.sub(" ", name).strip())
    last, comma, first = bare.partition(",")
    if not comma:
        told = [word for word in bare.split() if not is_person(word)]
        first, last = " ".join(told[:-1]), told[-1] if told else ""
    firsts, lasts = (
        tuple(w for w in map(folded, _WORD.findall(part)) if w not in PARTICLES)
        for part in (first, last)
    )
    short = not lasts or len("".join(lasts)) < _LEAST or _partless(lasts[0])
    return firsts, () if short or not firsts else lasts


def _partless(word: str) -> bool:
    return unicodedata.category(word[0]) == "Lo"


class InTexts:
    """Finds the people of ``names`` (each with what they are called in public) in texts.

    ``is_word`` tells of a last name of one word whether that means something else as well: alone
    it names nobody then.  ``elsewhere``: last names of which the author says so.
    """

    def __init__(
        self, names: Mapping[str, str], is_word: Callable[[str], bool] = lambda word: False,
        elsewhere: Collection[str] = (),
    ) -> None:  # fmt: skip
        self._short: dict[Words, str] = {}
        self._firsts: dict[Words, set[str]] = {}
        self._joined: dict[str, tuple[str, str]] = {}
        for name, short in names.items():
            firsts, last = first_and_last(name)
            if not last:
                continue
            self._short.setdefault(last, short)
            self._firsts.setdefault(last, set()).update(firsts)
            one, other = firsts[0], "".join(last)
            for joined in (one + other, other + one, one[0] + other):
                if len(joined) >= _JOINED:
                    self._joined.setdefault(joined, (other, short))
        said = {tuple(map(folded, _WORD.findall(name))) for name in elsewhere}
        self._words = {
            last for last in self._short if last in said or (len(last) == 1 and is_word(last[0]))
        }
        self._lengths: dict[str, set[int]] = {}
        for last in self._short:
            self._lengths.setdefault(last[0], set()).add(len(last))

    def find(self, text: str, plainly: Callable[[str], str] = str) -> Iterator[Found]:
        """What in a text tells who somebody is; ``plainly`` puts initials where full names stand,
        which is done with all of it but the addresses.  In linear time."""
        if not self._short:
            return
        for address in ADDRESS.finditer(text):
            yield from self._in(unquote(address[0]), anywhere=True)
        yield from self._in(unquote(plainly(ADDRESS.sub(" ", text))), anywhere=False)

    def _in(self, text: str, anywhere: bool) -> Iterator[Found]:
        """The same of a text without codes; in small letters, too, where these are ``anywhere``."""
        words = list(_WORD.finditer(text))
        low = [folded(word[0]) for word in words]
        for at, word in enumerate(words):
            if (joined := self._joined.get(low[at])) is not None:
                yield word[0], *joined
            if not (anywhere or word[0][0].isupper()):
                continue
            last, plural = self._last(text, words, low, at)
            if not last:
                continue
            start, end = self._beside(text, words, low, at, last)
            if (start, end) != (at, at + len(last) - 1) or last not in self._words:
                shown = text[words[start].start() : words[end].end()]
                shown = shown.removesuffix("s") if plural else shown
                yield shown, " ".join(last), self._short[last]

    def _last(
        self, text: str, words: list[re.Match[str]], low: list[str], at: int
    ) -> tuple[Words, bool]:
        """The last name that begins with a word, and whether of several who bear it."""
        for many in sorted(self._lengths.get(low[at], ()), reverse=True):
            said = tuple(low[at : at + many])
            if said in self._short and all(_near(text, words, n) for n in range(at, at + many - 1)):
                return said, False
        one = (low[at].removesuffix("s"),)
        return (one, True) if len(one[0]) >= _LEAST and one in self._short else ((), False)

    def _beside(
        self, text: str, words: list[re.Match[str]], low: list[str], at: int, last: Words
    ) -> tuple[int, int]:
        """From which word to which a name reaches whose last name begins at one: with a first
        name, its initial, or one and a middle name; else the last name alone."""
        firsts, end = self._firsts[last], at + len(last) - 1

        def initial(n: int) -> bool:
            dotted = text[words[n].end() : words[n].end() + 1] == "."
            return len(low[n]) == 1 and dotted and any(low[n] == f[0] for f in firsts)

        if at > 0 and _near(text, words, at - 1):
            if low[at - 1] in firsts or initial(at - 1):
                return at - 1, end
            middle = words[at - 1][0][0].isupper() and at > 1 and _near(text, words, at - 2)
            if middle and low[at - 2] in firsts:
                return at - 2, end
        if end + 1 < len(words) and _near(text, words, end):
            follows = end + 1
            if "," in text[words[end].end() : words[follows].start()] and initial(follows):
                return at, follows
        return at, end


def _near(text: str, words: list[re.Match[str]], at: int) -> bool:
    """Whether a word and the one after it stand as the words of one name do."""
    return bool(_BETWEEN.fullmatch(text, words[at].end(), words[at + 1].start()))
