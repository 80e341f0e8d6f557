"""Whether a text looks like people's names, by its words alone: what heads a column, names a tab or
stands in a cell.

A name is two capitalised words or more that mean nothing to us, and several labels are the names
of people together, where most of them are.  A bit less will do where people may be meant.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Sequence
from typing import Literal

from explainer.study.labels import SMALL, THINGS
from explainer.study.naming import EVERYDAY
from explainer.study.ordinary import ORDINARY
from explainer.study.persons import PERSONS, is_person
from explainer.study.tradewords import TRADE

#: Words that name things, times and kinds; and words that some people are called, too.
_PLAIN = TRADE | THINGS | PERSONS
_EITHER = (EVERYDAY | SMALL | {"max", "val", "paul", "drew"}) - _PLAIN
_PARTICLES = frozenset(
    ["bin", "da", "de", "del", "den", "der", "di", "dos", "du", "ibn", "jr", "la", "le", "mac",
     "sr", "van", "von"]
)  # fmt: skip
#: Endings of words for doings and qualities: alone they call nobody, beside a first name they may.
_ENDINGS = ("ing", "tion", "sion", "ness", "ment", "ity", "ance", "ence", "able", "ive", "ical")
_WORD = re.compile(r"[^\W\d_]+(?:['’-][^\W\d_]+)*")
_LETTERS = re.compile(r"[^\W\d_]+(?:(?:['’.,-] ?| )[^\W\d_]+)*\.?")
_MOST_WORDS = 4
_OWNER = re.compile(r"((?:[^\W\d_]|[ .'’-])+?)['’]s?\s+\S.*")

Known = Callable[[str], bool]
People = Literal["no", "maybe", "yes"]


def words_in(text: str) -> list[str]:
    """The words of a name, with its hyphens; without what stands in brackets."""
    return _WORD.findall(re.sub(r"\([^()]*\)", " ", text))


def means_something(word: str) -> bool:
    """Whether a word names a thing, a time or a kind, and nobody."""
    return _stands_in(word, _PLAIN)


def is_a_word(word: str) -> bool:
    """Whether a word means something, though somebody may be called so, too: Rose, Hook, May."""
    return _stands_in(word, _PLAIN | _EITHER)


def is_ordinary(word: str) -> bool:
    """The same of a word in small letters: baker, norbert not."""
    return is_a_word(word) or _stands_in(word, ORDINARY)


def _stands_in(word: str, words: frozenset[str]) -> bool:
    low = word.casefold()
    return bool({low, low.removesuffix("s"), low.removesuffix("es")} & words)


def _either(word: str) -> bool:
    return _stands_in(word, _EITHER) or (len(word) > 5 and word.casefold().endswith(_ENDINGS))


def _parts(label: str) -> list[str]:
    """The words of a label with the shape of a name; none where it has another one."""
    bare = " ".join(re.sub(r"\([^()]*\)", " ", label).split()).strip(" .")
    words = [w for w in words_in(bare) if w.casefold() not in _PARTICLES]
    if not _LETTERS.fullmatch(bare) or not 1 <= len(words) <= _MOST_WORDS:
        return []
    if not all(map(_capital, words)):
        return []
    script = unicodedata.category(words[0][0]) == "Lo"
    least = 2 if len(words) > 1 else 3  # `SD` and `RG` are nobody
    return words if script or max(map(len, words)) >= least else []


def _capital(word: str) -> bool:
    """Whether a word begins with a capital, or in a script that has none."""
    return unicodedata.category(word[0]) in ("Lu", "Lt", "Lo")


def may_be_called_so(label: str, head: str = "") -> bool:
    """Whether a label has the looks of a first and a last name, where people may be meant: two
    words or more, all of them capitalised, none of which we know or its column's ``head`` has."""
    own = set(map(str.casefold, words_in(head.replace("_", " "))))
    return _full(_parts(label), lambda word: word.casefold() in own)


def is_called_so(label: str, known: Known = means_something) -> bool:
    """The same where nothing says that people may be meant: none of the words is ``known``, and
    not all are words that some people are called (Grace Park)."""
    words = _parts(label)
    strange = [w for w in words if not _either(w) and (len(w) > 1 or not w.isascii())]
    return _full(words, known) and bool(strange)


def _full(words: list[str], known: Known) -> bool:
    return len(words) > 1 and not any(known(w) or means_something(w) for w in words)


def name_within(text: str, known: Known = means_something) -> str:
    """A first and a last name among the other words of a text, ``Hook Abelard Brightwater``: two
    capitalised words or more in a row that mean nothing; empty where there is none."""
    run: list[str] = []
    for word in [*re.findall(r"[^\W_]+(?:['’-][^\W_]+)*", text), ""]:
        if _parts(word) and not (known(word) or means_something(word)):
            run.append(word)
        elif is_called_so(" ".join(run), known):
            return " ".join(run)
        else:
            run = []
    return ""


def is_strange(name: str, known: Known = means_something) -> bool:
    """Whether a name in small letters is two words or more that are neither ``known`` nor ours:
    ``abelard-brightwater``, as files and anchors are named.  So are many names of things: it takes
    several of them side by side to be asked about."""
    words = re.findall(r"[^\W_]+", name)
    return 1 < len(words) <= _MOST_WORDS and all(
        w.isalpha() and len(w) > 2 and not (known(w) or means_something(w) or _either(w))
        for w in words
    )


def owner_in(label: str, known: Known = means_something) -> str:
    """Who has the thing that a label names, ``Abelard's Storm``; empty where it is nobody's."""
    found = _OWNER.fullmatch(label.strip())
    words = _parts(found[1]) if found else []
    told = any(known(w) or means_something(w) for w in words) or all(map(_either, words))
    return found[1] if found and words and not told else ""


def named_after_people(labels: Sequence[str]) -> People:
    """Whether labels that stand side by side are people's names: ``yes`` where most are first and
    last names, ``maybe`` where most are a single word that means nothing to us."""
    told = [_parts(label) for label in _capitals(labels)]
    if len(told) < 2 or not all(told) or any(means_something(w) for ws in told for w in ws):
        return "no"
    strange = [words for words in told if not any(map(_either, words))]
    full = sum(len(words) > 1 for words in strange)
    if 2 * full > len(told):
        return "yes"
    return "maybe" if 2 * len(strange) > len(told) else "no"


#: Words of heads that do not tell what their column holds.
_VAGUE = frozenset(
    ["at", "by", "class", "for", "from", "group", "half", "in", "label", "level", "name", "of",
     "one", "other", "row", "set", "side", "split", "the", "to", "who", "with"]
)  # fmt: skip
#: Words of heads for what bears names of two words and is nobody, beside those of the trade.
_BEARS_NAMES = frozenset(
    ["brand", "city", "company", "country", "county", "event", "region", "sponsor", "state",
     "store", "street", "town", "venue"]
)  # fmt: skip
#: So many different labels tell what a column holds.
_LOOKED_AT = 200


def holds_people(head: str, labels: Sequence[str]) -> bool:
    """Whether most labels of a column are first and last names, and its head says nothing else:
    ``model``, ``house`` and ``team`` name things, whatever these are called."""
    words = [w for w in words_in(head.replace("_", " ")) if w.casefold() not in _VAGUE]
    things = any(_stands_in(w, _PLAIN | _BEARS_NAMES) and not is_person(w) for w in words)
    return not things and named_after_people(labels[:_LOOKED_AT]) == "yes"


def owners_in(labels: Sequence[str]) -> dict[str, str]:
    """Whose the things are that labels name, where most of several are somebody's: one alone may
    be called so (``Pandora's Box``)."""
    found = {label: owner for label in labels if (owner := owner_in(label))}
    return found if len(found) > 1 and 2 * len(found) > len(labels) else {}


def _capitals(labels: Sequence[str]) -> list[str]:
    """The labels, in capitals where none of them has one: as files are named."""
    apart = [" ".join(label.replace("_", " ").split()) for label in labels]
    if all(label == label.casefold() for label in apart):
        return [_WORD.sub(lambda w: w[0][:1].upper() + w[0][1:], label) for label in apart]
    return apart


#: What stands before the name of who took a reading.
_BY = re.compile(r"(?:\w+ )?by (?=\w)", re.IGNORECASE)


#: Marks before and around a name that are no part of it: ``=Jane Doe``, ``**Jane Doe**``.
_DRESS = re.compile(r"^[^\w(]+|[*_`]+")


def says_by_whom(head: str) -> bool:
    """Whether a head says who took a reading: ``Read by Jane``."""
    return bool(_BY.match(head) and leading_name(head)[0])


def leading_name(head: str) -> tuple[str, str]:
    """(the words a head begins with that mean nothing to us, what it says besides):
    ``Jane Doe Game 1``; neither where it begins with a word that means something."""
    head = _DRESS.sub("", head)
    by = _BY.match(head)
    told = head[by.end() :] if by else head
    end = 0
    for found in re.finditer(r"\([^()]*\)|\S+", told):
        word = found[0].strip(",.")
        if word.casefold() in _PARTICLES:
            continue
        if not _WORD.fullmatch(word) or means_something(word) or not _capital(word):
            break
        end = found.end()
    name = told[:end].strip(" ,:–-")
    return (name, told[end:].strip(" ,:–-")) if _parts(name) else ("", "")
