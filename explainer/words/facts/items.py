"""What counts as one in a test, and the word for it: ball, bowler; ball T3."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any

from explainer.claims.verdict import Verdict
from explainer.study.model import Study, Table
from explainer.study.persons import is_person
from explainer.words.quantity.sizes import named_few, tally


def table_of(verdict: Verdict, study: Study) -> Table | None:
    return study.tables.get(verdict.table)


def item_word(study: Study, table: Table | None) -> str:
    """The word for one of what counts: ball, bowler."""
    each = table.item if table is not None else study.description.tested.item
    return each.replace("_", " ").replace("-", " ").lower()


def group_word(study: Study, table: Table | None) -> str:
    """The word for what items come in: model, house; ``group`` where the study has none."""
    group = (table.group if table is not None else None) or study.description.tested.group
    return (group or "group").replace("_", " ").replace("-", " ")


def item_of(verdict: Verdict, study: Study, table: Table | None) -> str:
    """The word for what counts in this test: whoever repeats, where the test names them."""
    who = getattr(verdict.detail, "who", "") or getattr(verdict.test, "within", None)
    if verdict.test.kind == "rate-difference" and who:
        return str(who).replace("_", " ").replace("-", " ").lower()
    return item_word(study, table)


def named(item: str, name: Any) -> str:
    """An item by name: ``ball T3``; a name that already says what it is stands alone."""
    text = str(name)
    return text if item in text.casefold() else f"{item} {text}"


def the_ones(item: str, names: Sequence[Any], study: Study, table: Table | None) -> str:
    """Some of the items by name; of people only how many: nobody is put on a list of who fell."""
    if not names:
        return ""
    if people(item, study, table):
        return tally(len(names), item)
    return named_few([named(item, name) for name in names])


def people(item: str, study: Study, table: Table | None) -> bool:
    """Whether what counts as one is a person, by its table or by the word for one."""
    if table is not None and item == item_word(study, table):
        return table.people
    return is_person(item)


#: What counts as one and is somebody, not something, beside what names a single person.
PEOPLE = frozenset({"operator", "team"})
#: Names of a kind that do not stand alone in a sentence; ``used`` needs its noun: used balls.
_ADJECTIVES = frozenset({"new", "used", "old", "worn", "fresh", "sanded", "polished", "young"})
#: Columns whose word can follow its values: the long pattern, the left hand.
_FOLLOW = frozenset({"pattern", "model", "lane", "hand", "house", "side", "oil", "layout"})


def pronouns(item: str) -> dict[str, str]:
    """The words that point back at one of what counts, and how it came into the study."""
    if item in PEOPLE or is_person(item):
        return {"itself": "themselves", "its": "their", "who": "who", "took_part": "took part"}
    return {"itself": "itself", "its": "its", "who": "that", "took_part": "were tested"}


#: Columns whose numbers sentences give their unit themselves: after 60 games.
_COUNTED = frozenset(["games", "hours", "days", "weeks", "months", "shots", "minutes"])


#: What a condition was set in, where the name of its column ends so: 18 of ``oil_ml`` is oil 18 mL.
_SET_IN = {"ml": "mL", "ul": "µL", "mm": "mm", "cm": "cm"}


def set_in(by: str) -> tuple[str, str]:
    """The name of a column of conditions in words, and the unit it ends in: (oil, mL)."""
    words = by.replace("_", " ").split()
    unit = _SET_IN.get(words[-1].casefold(), "") if len(words) > 1 else ""
    return " ".join(words[:-1] if unit else words), unit


#: What answers the head of a column, and says nothing without it.
_YES = frozenset({"yes", "y", "true"})
_ANSWERS = _YES | {"no", "n", "false"}
#: A head that says what was done to an item, or how it is: coached, left-handed, worn.
_DONE = re.compile(rf"(?:[a-z]{{2}}[^e\W]ed|\b(?:{'|'.join(sorted(_ADJECTIVES))}))$")


def says_little(value: str) -> bool:
    """Whether a name of a group says nothing without the head of its column: 3, yes."""
    return bool(re.fullmatch(r"-?\d+(\.\d+)?", value)) or value.casefold() in _ANSWERS


def sort_of(value: str, by: str | None) -> str:
    """A group as its members are counted: ``4 Plover``, ``6 coached``, ``8 not coached``, ``3 with
    clinic: yes``, since an answer says nothing without the head that asks it."""
    word = set_in((by or "").casefold())[0]
    if not word or value.casefold() not in _ANSWERS:
        return value
    if not _DONE.search(word):
        return f"with {word}: {value}"
    return word if value.casefold() in _YES else f"not {word}"


def side(value: str, by: str, items: str) -> str:
    """One side of a comparison as a sentence needs it: ``the long pattern``, ``used balls``."""
    word, unit = set_in(by.casefold())
    if unit and re.fullmatch(r"-?\d+(\.\d+)?", value):
        return f"{word} {value} {unit}"
    if value.casefold() in _ADJECTIVES:
        return f"{value} {items}"
    if value.casefold() in _ANSWERS and word:
        sort = sort_of(value, by)
        return f"{sort} {items}" if sort == word else f"{items} {sort}"
    if re.fullmatch(r"-?\d+(\.\d+)?", value) and re.fullmatch(r"[a-z ]+", word):
        return value if word in _COUNTED else f"{word} {value}"
    if word in _FOLLOW and word not in value.casefold() and value.islower():
        return f"the {value} {word}"
    return value


def operator_word(column: str) -> str:
    """What the study calls whoever reads, by its own column: desk, person, operator."""
    return column.replace("_", " ").replace("-", " ").strip().casefold() or "operator"
