"""Picked for a first reading that stood out: such readings fall back by themselves.

The coldest ten bowlers score more next week and the roughest balls read smoother, coached and
sanded or not (Galton 1886; Bland & Altman 1994, BMJ 308, 1499; Barnett et al. 2005, Int. J.
Epidemiol. 34, 215).  How far is known where the gauge's repeatability is: by the share of their
first readings' spread that is error.  A plain ``backed`` needs a change beyond that, another
reading after the one they were picked by, or a comparison picked in the same way.  Held against
those who were not picked it is worse: those fall back the other way.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from explainer.claims import evidence, rules
from explainer.claims.build import Case
from explainer.claims.looks.found import Found, points
from explainer.claims.verdict import Verdict
from explainer.study.description.tests import DifferenceInChange
from explainer.study.model import Study, Table

#: A subset that is exactly the most extreme one is no accident where that has less chance than so.
ACCIDENT = 0.05
#: Out of how many they were picked is not known: the mean of the highest tenth of a normal
#: distribution lies this many standard deviations up (Falconer & Mackay 1996, app. table A).
INTENSITY = 1.755


#: Words in the name of a group that nobody is put into for a score.
_WITHOUT_SCORES = frozenset(
    ["age", "ball", "center", "club", "gender", "hand", "house", "lane", "night", "sex", "team"]
)  # fmt: skip


@dataclass(frozen=True)
class Choice:
    """By what items were picked, and what is known of the pool they came from."""

    by: str
    declared: bool
    side: int
    """1: the highest, −1: the lowest, 0: nobody knows."""
    pool: tuple[float, ...] = ()
    picked: tuple[float, ...] = ()
    same_way: bool = False
    """Both sides of a comparison were picked alike."""
    who: tuple[str, ...] = ()
    """What those that were picked are called; empty where all were."""
    before: bool = False
    """They were picked by another reading than the one the change starts from."""


def look(case: Case, verdict: Verdict) -> Found | None:
    """``chosen``: picked by the very reading that the change is counted from."""
    name = getattr(case.test, "measure", None)
    start = points(case).get("from_")
    if not isinstance(name, str) or start is None:
        return None
    table = case.study.table_of(name, case.test.table)
    choice = _declared(case, table, name, start) or _seen(case, table, name, start)
    if choice is None:
        return None
    back = _falls_back(case, table, name, start, choice)
    holds = choice.same_way or choice.before or not _could_be(verdict, choice, back)
    known = {
        "chosen_by": choice.by, "chosen_who": choice.who, "chosen_declared": choice.declared,
        "chosen_side": choice.side, "falls_back": back, "chosen_holds": holds,
    }  # fmt: skip
    code = verdict.code if holds else rules.demoted(verdict.code)
    return Found(code, ("chosen",), known)


def _declared(
    case: Case, table: Table, name: str, start: evidence.Checkpoint
) -> Choice | None:
    """What the study says of how they were picked."""
    by = table.chosen_by
    if by is None:
        return None
    every = _followed(case, table, name, start)
    alone = _picked_alone(case, table)
    if alone is not None and not any(side <= alone for side in every):
        return None  # of those that were picked and those that were not together
    measures = case.study.description.measures
    other = by != name and (by in measures or by in table.frame.columns)
    later = table.use is not None and isinstance(start, float | int) and any(
        use < start for use in table.checkpoints
    )
    found = next(_subsets(case, table, name, start), None)
    if alone is not None:  # the pool is known: all that stand beside them
        everyone = evidence.at(_whole(case, table), name, start).as_dict()
        found = (alone & set(everyone), everyone)
    side, pool, picked = _extreme(*found) if found else (0, (), ())
    return Choice(by, True, side, pool, picked, before=other or later,
                  same_way=isinstance(case.test, DifferenceInChange)
                  and (alone is None or all(side <= alone for side in every)),
                  who=tuple(map(evidence.label, table.chosen_only.values())))  # fmt: skip


def _picked_alone(case: Case, table: Table) -> set[str] | None:
    """The items that the study says were picked; None where all of the table were."""
    if not table.chosen_only:
        return None
    whole = _whole(case, table)
    rows = evidence.holds(whole.frame, table.chosen_only)
    return set(whole.frame.loc[rows, whole.item].astype(str))


def _whole(case: Case, table: Table) -> Table:
    """The table with all its rows."""
    return next(iter(_unpicked(case, table)), table)


def _followed(
    case: Case, table: Table, name: str, start: evidence.Checkpoint
) -> list[set[str]]:
    """The items a test follows: those of each side, where it holds two against each other."""
    test = case.test
    if isinstance(test, DifferenceInChange):
        return [set(evidence.at(evidence.only(table, test.by, side), name, start).as_dict())
                for side in (test.a, test.b)]  # fmt: skip
    return [set(evidence.at(table, name, start).as_dict())]


def _seen(case: Case, table: Table, name: str, start: evidence.Checkpoint) -> Choice | None:
    """Items that are exactly the most extreme of all that were read at the start."""
    for mine, everyone in _subsets(case, table, name, start):
        side, pool, picked = _extreme(mine, everyone)
        if side and not _is_group(case.study, set(mine), set(everyone)):
            return Choice(name, False, side, pool, picked)
    return None


def _subsets(
    case: Case, table: Table, name: str, start: evidence.Checkpoint
) -> Iterator[tuple[set[str], Mapping[str, float]]]:
    """Items that a test follows, and the first readings of all among which they stand."""
    test = case.test
    first = evidence.at(table, name, start).as_dict()
    if isinstance(test, DifferenceInChange):
        side = evidence.at(evidence.only(table, test.by, test.a), name, start).as_dict()
        yield set(side), first
        return
    end = getattr(test, "to", None)
    followed = evidence.at(table, name, end).as_dict() if end is not None else first
    mine = set(first) & set(followed)
    yield set(first) & _read_later(table, name, start), first
    # A test on some rows only, and another table that holds more of the same items.
    for other in (*_unpicked(case, table), *case.study.tables.values()):
        if other.name == table.name and not table.picked:
            continue
        if name in other.measures and mine < set(other.items) and other.mean_of is None:
            at = start if other.use == table.use and start in other.checkpoints else None
            if at is None and other.use is not None:
                continue
            yield mine, evidence.at(other, name, at).as_dict()


def _read_later(table: Table, name: str, start: evidence.Checkpoint) -> set[str]:
    """Items with any reading after the start: those without were not followed at all."""
    if table.use is None or isinstance(start, tuple):
        return set(table.items)
    later = (table.frame[table.use] > start) & table.frame[name].notna()
    return set(table.frame.loc[later, table.item].astype(str))


def _unpicked(case: Case, table: Table) -> tuple[Table, ...]:
    """The table before a test took some of its rows."""
    whole = case.everything
    return (whole.tables[table.name],) if table.picked and whole is not None else ()


def _extreme(
    mine: set[str], everyone: Mapping[str, float]
) -> tuple[int, tuple[float, ...], tuple[float, ...]]:
    """On which side all of ``mine`` lie beyond all others (0: neither, or it may be chance)."""
    picked = tuple(v for i, v in everyone.items() if i in mine)
    rest = [v for i, v in everyone.items() if i not in mine]
    pool = tuple(everyone.values())
    if not picked or not rest or 2 / math.comb(len(pool), len(picked)) >= ACCIDENT:
        return 0, pool, picked
    side = 1 if min(picked) > max(rest) else -1 if max(picked) < min(rest) else 0
    return side, pool, picked


def _is_group(study: Study, mine: set[str], everyone: set[str]) -> bool:
    """The study's own groups part the items just so: a model, not a choice.

    People are of no model.  A group of them that holds exactly those who scored least was made by
    their scores, unless it is one that nobody is put into for a score.
    """
    for table in study.tables.values():
        if table.group is None or table.group not in table.frame:
            continue
        if table.people and not _WITHOUT_SCORES & set(table.group.casefold().split("_")):
            continue
        of = table.frame.groupby(table.group, observed=True)[table.item].unique()
        if any({str(i) for i in items} & everyone == mine for items in of):
            return True
    return False


def _falls_back(
    case: Case, table: Table, name: str, start: evidence.Checkpoint, choice: Choice
) -> float | None:
    """How far the mean of the picked comes back by itself, in the measure's unit.

    The error's share of the variance in the pool, times how far the picked lie from its mean; with
    the pool unknown, at most the error's SD times the pull of picking one in ten.  None without a
    known repeatability.
    """
    u = case.study.measure(name).repeatability_sd
    if u is None:
        return None
    seen = evidence.at(table, name, start)
    u /= math.sqrt(max(1.0, seen.n_rows / max(1, len(seen.items))))
    pool, picked = np.array(choice.pool), np.array(choice.picked)
    if choice.side and len(pool) > len(picked) and len(pool) > 2:
        spread = float(pool.var(ddof=1))
        share = min(1.0, u * u / spread) if spread > 0 else 1.0
        back = share * abs(float(picked.mean() - pool.mean()))
        if isinstance(case.test, DifferenceInChange):
            rest = (float(pool.sum()) - float(picked.sum())) / (len(pool) - len(picked))
            back = share * abs(float(picked.mean()) - rest)
        return back
    return INTENSITY * u


def _could_be(verdict: Verdict, choice: Choice, back: float | None) -> bool:
    """Falling back alone could have made what was found."""
    low, high = verdict.low, verdict.high
    if low is None or high is None or low <= 0 <= high:
        return False
    way = 1 if low > 0 else -1
    if choice.side and way == choice.side:
        return False  # they moved on, against their falling back
    near = min(abs(low), abs(high)) - (getattr(verdict.test, "at_least", None) or 0.0)
    return back is None or near <= back
