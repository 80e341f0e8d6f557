"""What phrases may say of paths down the lane: whose they are, where they turn and part."""

from __future__ import annotations

from typing import Any

from explainer.claims.figure_data import BallPathsData
from explainer.claims.verdict import FigureResult
from explainer.study.description import figures as f
from explainer.study.model import Study, Table
from explainer.words.facts.figure_sizes import Facts, Found, barred
from explainer.words.facts.items import item_word, side
from explainer.words.quantity.numbers import bare, plural_of
from explainer.words.quantity.sizes import Sized, listed, number, tally, with_unit
from explainer.words.quantity.when import past


def ball_paths(result: FigureResult, study: Study, table: Table, found: Found) -> Facts:
    """What is known of one figure of paths."""
    figure, data = result.figure, result.data
    assert isinstance(figure, f.BallPaths)
    apart = found.get("difference-at")
    items = plural_of(item_word(study, table))
    paths = [_path(line.name, figure.by, table, items) for line in data.lines]
    names = [f"{where} {which}" for where, which in paths]
    item = item_word(study, table)
    # Not every item need be in every line.
    alike = all(line.n_items == result.n_items for line in data.lines)
    each = [f"one {name}" + ("" if alike else f" ({tally(line.n_items, item)})")
            for name, line in zip(names, data.lines, strict=True)]  # fmt: skip
    # With no average, the paths themselves.
    feet = [d for line in data.lines for d in line.distance]
    feet = feet or [d for *_, read, _ in data.items for d in read]
    wide = [past for line in data.lines if len(line.distance) > 1 for past in line.past_lane]
    largest = Sized(apart["largest"] if apart else None, None, None, "board")
    return {
        "barred": barred(
            [v for line in data.lines if len(line.low) > 1 for v in line.low],
            "shading: likely range of the average at all marks",
        ),
        "banded": _banded(data), **_bandless(data),
        "short_names": tuple(which.removeprefix("the ") for _, which in paths),
        "each_path": listed(each), "n_paths": len(names), "all_in_each": alike,
        "unaveraged": listed([" ".join(_path(name, figure.by, table, items))
                              for name in data.unaveraged]),
        "short": data.short, "late": data.late, "averaged": data.averaged,
        "patched": data.patched, "read_between": data.read_between,
        "lone_marks": sum(len(line.distance) == 1 for line in data.lines),
        "most_in_one": max((line.n_items for line in data.lines), default=0),
        "least_in_one": min((line.n_items for line in data.lines), default=0),
        **_apart_from(data, names), "hand": figure.hand,
        "same_feet": len({(min(line.distance), max(line.distance)) for line in data.lines}) < 2,
        "feet_from": bare(number(min(feet)), "foot") if len(set(feet)) > 1 else "",
        "feet_to": _feet(max(feet, default=0.0), many=len(set(feet)) > 1),
        "past_lane": sum(wide), "marks": len(wide),
        **_turns(data, names),
        "path_first": names[0] if names else "", "path_last": names[-1] if names else "",
        "apart": bool(apart and apart["count"]), "compared": apart is not None,
        "paired": bool(apart and apart["paired"]),
        "balls_compared": tally(apart["n_items"] if apart else 0, item),
        "in_both": apart is not None and bool(apart["paired"]) and any(
            line.n_items > apart["n_items"] for line in (data.lines[0], data.lines[-1])),
        "apart_from": _feet(apart["from"]) if apart and apart["from"] is not None else None,
        "apart_count": apart["count"] if apart else 0,
        "apart_of": apart["distances"] if apart else 0,
        "read_at": len({mark for *_, read, _ in data.items for mark in read}),
        "largest": largest.rough, "largest_at": _feet(apart["largest_at"]) if apart else "",
    }  # fmt: skip


def _apart_from(data: BallPathsData, told: list[str]) -> Facts:
    """Of the first and the last line, which are held against one another: whether they have a mark
    in common, and which of them is of one item alone."""
    ends = {0: data.lines[0], len(told) - 1: data.lines[-1]} if told else {}
    marks = [set(line.distance) for line in ends.values()]
    return {"no_mark": bool(marks) and not set.intersection(*marks),
            "alone": [told[place] for place, line in ends.items() if line.n_items == 1]}


def _turns(data: BallPathsData, told: list[str]) -> Facts:
    """Which of the paths (``told``: their names in words) turn, and how far down: not each must."""
    turns = [(line, name) for line, name in zip(data.lines, told, strict=True) if line.turns]
    feet = [_feet(line.breakpoint) for line, _ in turns]
    gives = {_feet(line.spacing) for line, _ in turns if line.spacing}
    whose = [name for _, name in turns]
    return {
        "turn": feet[0] if feet else None, "turn_last": feet[-1] if feet else None,
        "turn_give": gives.pop() if len(gives) == 1 else None, "n_turns": len(turns),
        "turns_alike": len(set(feet)) == 1,
        "turn_path": whose[0] if whose else "", "turn_path_last": whose[-1] if whose else "",
    }  # fmt: skip


def _banded(data: BallPathsData) -> str:
    """Whether ``all`` lines have a band at each distance, ``some`` of them somewhere, or none."""
    return _of_all([v is not None for line in data.lines if len(line.low) > 1 for v in line.low])


def _bandless(data: BallPathsData) -> Facts:
    """Why a line has no band at a mark: it is of ``one`` alone, or all of it read ``alike`` there.
    """
    lines = [line for line in data.lines if len(line.low) > 1]
    return {"band_of_one": any(line.n_items < 2 for line in lines),
            "band_alike": any(line.n_items > 1 and None in line.low for line in lines)}


def _of_all(has: list[bool]) -> str:
    return "all" if has and all(has) else "some" if any(has) else ""


#: Names that stand before a noun: what is sorted says which.
_PLACES_IN_A_ROW = frozenset(("first", "second", "third", "last"))


def _path(name: str, by: str | None, table: Table, items: str) -> tuple[str, str]:
    """Which path: at ``the start`` or ``game 60``, for ``Plover`` or ``the last ten``."""
    if by is not None and by == table.use:
        try:
            return "at", past(table, float(name))
        except ValueError:
            pass
    told = side(name, by or "", items)
    if told == name and name in _PLACES_IN_A_ROW and by:
        return "for", f"the {name} {by.replace('_', ' ')}"
    return "for", f"the {name}" if told == name and name[:1].islower() else told


def _feet(value: Any, many: bool = False) -> str:
    """A place down the lane: ``35 feet``; ``many`` where it ends a range."""
    return with_unit(number(float(value or 0)), "foot", many)
