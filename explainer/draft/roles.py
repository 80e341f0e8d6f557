"""What each column of a tidy table is for, going by its name and by what stands in it."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Callable
from dataclasses import dataclass

from explainer.draft.columns import Column, is_order
from explainer.draft.guess import Guess, Sure
from explainer.draft.headers import ITEM_WORDS, REMARKS, USE_WORDS
from explainer.draft.tidy import Tidy

#: Words that only say that a column holds names.
_LABELS = frozenset(["id", "no", "no.", "nr", "number", "name", "label", "code", "#", "the", "tag"])
_OPERATORS = frozenset(
    ["operator", "desk", "tester", "inspector", "appraiser", "measurer", "technician", "person",
     "reader", "observer"]
)  # fmt: skip
_SUCCESSES = frozenset(
    ["strikes", "strike", "hits", "hit", "successes", "made", "spares", "spare", "passes", "passed"]
)
_ATTEMPTS = frozenset(["attempts", "shots", "tries", "frames", "thrown", "chances", "total"])
_FEET = frozenset(["feet", "distance", "foot"])
_BOARDS = frozenset(["board", "boards", "position"])


@dataclass(frozen=True)
class Parts:
    """A table's columns by what they are for."""

    item: Column
    each: str
    """The word for one item."""
    use: Column | None
    order: Column | None
    operator: Column | None
    group: Column | None
    """Constant within an item."""
    condition: Column | None
    """Varies within an item."""
    counts: tuple[Column, Column] | None
    path: tuple[Column, Column] | None
    """(feet down the lane, board)."""
    measures: tuple[Column, ...]
    guesses: tuple[Guess, ...]


def parts_of(table: Tidy) -> Parts:
    """The parts of a tidy table, with how sure each is."""
    guesses: list[Guess] = []

    def say(column: Column, what: str, sure: Sure, why: str = "") -> None:
        written = column.header.written or column.name
        guesses.append(Guess(f"{table.original}, column {written}", what, sure, why))

    left = list(table.columns)
    item, each = _item(left, say)
    left.remove(item)
    path = _pair(left, _FEET, _BOARDS)
    left = [c for c in left if not path or c not in path]
    counts = _counts(left)
    left = [c for c in left if not counts or c not in counts]
    use = next((c for c in left if c.numeric and _words(c) & USE_WORDS.keys()), None)
    order = next((c for c in left if c is not use and is_order(c)), None)
    operator = next((c for c in left if not c.numeric and _words(c) & _OPERATORS), None)
    for column, what in ((use, "how much use an item has had"), (order, "numbers the rows"),
                         (operator, "who took the reading")):  # fmt: skip
        if column is not None:
            left.remove(column)
            say(column, what, "please check" if column.counted else "likely")
    group, condition = _sorting(left, item, each, say)
    measures = tuple(
        c for c in left if c.numeric and c.values and c is not condition and not _is_label(c)
    )
    if path:
        say(path[0], "feet down the lane", "likely")
        say(path[1], "the board the ball is on there", "likely")
    if counts:
        say(counts[0], "how many succeeded", "likely", f"out of {counts[1].name}")
    spare = [c for c in left if c not in (*measures, group, condition)]
    for column in spare:
        say(column, "carried to the downloads, not used", "likely")
    return Parts(
        item, each, use, order, operator, group, condition, counts, path, measures, tuple(guesses)
    )


Say = Callable[..., None]


def _words(column: Column) -> set[str]:
    return set(column.header.words.casefold().replace("_", " ").replace(".", " ").split())


def _is_label(column: Column) -> bool:
    """A column that only names or dates rows, though it is made of numbers."""
    return bool(_words(column) & {"id", "no", "nr", "#", "date", "year"})


def _item(columns: list[Column], say: Say) -> tuple[Column, str]:
    """The column that names what counts as one."""
    by_name = [c for c in columns if _words(c) & ITEM_WORDS]
    text = [c for c in columns if not c.numeric and not _words(c) & REMARKS]
    found = (by_name or text or columns)[0]
    words = [w for w in found.header.words.casefold().replace("_", " ").split() if w not in _LABELS]
    each = next((w for w in words if w in ITEM_WORDS), "") or " ".join(words) or "item"
    say(found, f"names each {each}: what counts as one", "likely" if by_name else "please check",
        f"{len(found.distinct)} of them")  # fmt: skip
    return found, each


def _pair(
    columns: list[Column], first: frozenset[str], second: frozenset[str]
) -> tuple[Column, Column] | None:
    one = next((c for c in columns if c.numeric and _words(c) & first), None)
    two = next((c for c in columns if c.numeric and _words(c) & second and c is not one), None)
    return (one, two) if one and two else None


def _counts(columns: list[Column]) -> tuple[Column, Column] | None:
    whole = [c for c in columns if c.whole and all(c.cells)]
    found = _pair(whole, _SUCCESSES, _ATTEMPTS)
    if found and all(a <= b for a, b in zip(found[0].numbers, found[1].numbers, strict=True)):
        return found
    return None


def _sorting(
    columns: list[Column], item: Column, each: str, say: Say
) -> tuple[Column | None, Column | None]:
    """(a text column that sorts items into groups, one that differs within items)."""
    group = condition = None
    for column in columns:
        few = 2 <= len(column.distinct) <= max(2, min(8, len(item.distinct)))
        if column.numeric and not _crossed(column, item):
            continue
        if not few or not all(column.cells) or _words(column) & REMARKS:
            continue
        seen: dict[str, set[str]] = defaultdict(set)
        for name, cell in zip(item.cells, column.cells, strict=True):
            seen[name].add(cell)
        shown = ", ".join(column.distinct[:4])
        if all(len(cells) == 1 for cells in seen.values()):
            if group is None and len(column.distinct) < len(item.distinct):
                group = column
                say(column, f"sorts each {each} into a group", "likely", shown)
        elif condition is None:
            condition = column
            sure: Sure = "please check" if column.numeric else "likely"
            say(column, f"a condition that changes within a {each}", sure, shown)
    return group, condition


def _crossed(column: Column, item: Column) -> bool:
    """Whether whole numbers without a unit stand beside each item equally often, as the numbers of
    two gauges do and readings do not."""
    pairs = Counter(zip(item.cells, column.cells, strict=True))
    everywhere = len(pairs) == len(item.distinct) * len(column.distinct)
    plain = column.whole and not column.header.unit
    return plain and len(item.distinct) > 1 and everywhere and len(set(pairs.values())) == 1
