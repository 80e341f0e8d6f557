"""Picked for a first reading that stood out: such readings fall back by themselves.

The coldest ten bowlers score more next week and the roughest balls read smoother, coached and
sanded or not (Galton 1886; Bland & Altman 1994, BMJ 308, 1499; Barnett et al. 2005, Int. J.
Epidemiol. 34, 215).  How far is known where the gauge's repeatability is: by the share of their
first readings' spread that is error.  A plain ``backed`` needs a change beyond that, another
reading after the one they were picked by, or a comparison picked in the same way.  Held against
those who were not picked it is worse: those fall back the other way.

Shares of successes do just the same, and how far is known from the counts themselves: their own
chance is binomial, wider where one row of an item differs from the next by more than that
(Efron & Morris 1975, J. Am. Stat. Assoc. 70, 311, where batting averages fall back).
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

import numpy as np
import pandas as pd

from explainer.claims import evidence, rules
from explainer.claims.build import Case
from explainer.claims.design.found import Found, points
from explainer.claims.design.turns import came_first
from explainer.claims.evidence import labels
from explainer.claims.rate_difference import WhoTried, counts, rates_table, who_repeat
from explainer.claims.verdict import Verdict
from explainer.study.description.tests import DifferenceInChange, RateDifference, ShareOfItems
from explainer.study.model import Study, Table

#: A subset that is exactly the most extreme one is no accident where that has less chance than so.
ACCIDENT = 0.05
#: Out of how many they were picked is not known: the mean of the highest tenth of a normal
#: distribution lies this many standard deviations up (Falconer & Mackay 1996, app. table A).
INTENSITY = 1.755


#: Words in the name of a group that nobody is put into for a score.
_WITHOUT_SCORES = frozenset(
    ["age", "ball", "center", "club", "cover", "gender", "hand", "house", "lane", "model", "night",
     "oil", "pattern", "sex", "team"]
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
    apart: bool = False
    """Only one side was picked, so that the two were made to differ."""


def look(case: Case, verdict: Verdict) -> Found | None:
    """``chosen``: picked by the very reading that the change is counted from."""
    if isinstance(case.test, RateDifference):
        return _of_rates(case, case.test, verdict)
    name = getattr(case.test, "measure", None)
    start = points(case).get("from_")
    if not isinstance(name, str) or start is None:
        return None
    table = case.study.table_of(name, case.test.table)
    choice = _declared(case, table, name, start) or _seen(case, table, name, start)
    if choice is None:
        return None
    back = _falls_back(case, table, name, start, choice)
    if isinstance(case.test, ShareOfItems):
        return _said(verdict, choice, back, could_be=_counts_could_be(case, verdict, choice, back))
    return _said(verdict, choice, back)


def _said(
    verdict: Verdict, choice: Choice, back: float | None, turned: bool = False,
    could_be: bool | None = None,
) -> Found:  # fmt: skip
    """The reason, and whether the verdict stands; ``turned``: it counts from the later reading."""
    if could_be is None:
        could_be = _could_be(verdict, choice, back, turned)
    holds = choice.same_way or choice.before or not could_be
    known = {
        "chosen_by": choice.by, "chosen_who": choice.who, "chosen_declared": choice.declared,
        "chosen_side": choice.side, "falls_back": back, "chosen_holds": holds,
        "chosen_apart": choice.apart,
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


def _picked_alone(case: Case, table: Table, column: str | None = None) -> set[str] | None:
    """Those who the study says were picked, by item or by ``column``; None where all were.

    Where the table lacks the columns that say so, by the first table of the study that has them.
    """
    if not table.chosen_only:
        return None
    column = column or table.item
    every = case.everything or case.study
    for source in (_whole(case, table), *every.tables.values()):
        frame = source.frame
        if {column, *table.chosen_only} <= set(frame.columns):
            return set(labels(frame.loc[evidence.holds(frame, table.chosen_only), column]))
    return set()


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
    mine, end = set(evidence.at(table, name, start).as_dict()), getattr(test, "to", None)
    return [mine if end is None else mine & set(evidence.at(table, name, end).as_dict())]


def _seen(case: Case, table: Table, name: str, start: evidence.Checkpoint) -> Choice | None:
    """Items that are exactly the most extreme of all that were read at the start."""
    for mine, everyone in _subsets(case, table, name, start):
        side, pool, picked = _extreme(mine, everyone)
        if side and not _is_group(case.study, set(mine), set(everyone)):
            test = case.test  # of two sides that are compared it is the first that is looked at
            who = (evidence.label(test.a),) if isinstance(test, DifferenceInChange) else ()
            return Choice(name, False, side, pool, picked, who=who)
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
    return set(table.frame.loc[later, table.item].unique().astype(str))


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


def _counts_could_be(
    case: Case, verdict: Verdict, choice: Choice, back: float | None
) -> bool:
    """The same of a claim that counts items: each has to have moved by that much more."""
    test = case.test
    assert isinstance(test, ShareOfItems)
    if choice.side and rules.SIDE[test.direction] == choice.side:
        return False
    if back is None:
        return True
    more = test.model_copy(update={"at_least": (test.at_least or 0.0) + back})
    return back > 0 and case.kind.judge(replace(case, test=more)).code != verdict.code


def _could_be(
    verdict: Verdict, choice: Choice, back: float | None, turned: bool = False
) -> bool:
    """Falling back alone, or the picking, could have made what was found."""
    low, high = verdict.low, verdict.high
    null = (verdict.strip.null if verdict.strip else None) or 0.0
    if low is None or high is None or low <= null <= high:
        return False
    way = (1 if low > null else -1) * (-1 if turned else 1)
    if choice.apart:
        return choice.side in (0, way)
    if choice.side and way == choice.side:
        return False  # they moved on, against their falling back
    near = min(abs(low), abs(high)) - (getattr(verdict.test, "at_least", None) or 0.0)
    return back is None or near <= back


# Shares of successes: the reading is a count, and its own chance is known.

def _of_rates(case: Case, test: RateDifference, verdict: Verdict) -> Found | None:
    """The same of a rate: those who repeat were picked by the counts they start from, or only
    those under one condition were picked at all."""
    table = rates_table(case, test)
    by = table.chosen_by
    if by is None or table.counted or verdict.estimate is None:
        return None
    again = who_repeat(table, test)
    column = test.within if again is not None and test.within is not None else table.item
    whole = _whole(case, table)
    alone = _picked_alone(case, table, column)
    picked = set(labels(whole.frame[column])) if alone is None else alone
    who = tuple(map(evidence.label, table.chosen_only.values()))
    if again is None:
        # What they were picked by stands, if anywhere, in the rows that are not compared.
        before = whole.frame.drop(table.frame.index, errors="ignore") if table.picked else None
        frames = [f for f in (before, whole.frame) if f is not None and len(f)]
        return _two_lots(frames, table.item, counts(table, test), by, picked, who, verdict)
    followed = {name for name, both in zip(again.names, again.both, strict=True) if both}
    if not followed <= picked:
        return None  # of those that were picked and those that were not together
    pool = counts(whole, test, column)
    start, side, errors = _start(table, test, pool, picked, by)
    choice = Choice(by, True, side, before=_another_reading(case, table, test, column, start),
                    who=who)  # fmt: skip
    back = max(_back_of_rates(pool, picked, i, side, errors) for i in start)
    # The claim counts a less b: from the later one where a came first.
    return _said(verdict, choice, back, turned=start == (0,))


def _two_lots(
    frames: list[pd.DataFrame], item: str, people: WhoTried, by: str, picked: set[str],
    who: tuple[str, ...], verdict: Verdict,
) -> Found | None:  # fmt: skip
    """Other people under each condition: both lots picked alike, or one of them only."""
    tried = people.cells.sum(axis=2) > 0
    sides = [{name for name, here in zip(people.names, tried[:, i], strict=True) if here}
             for i in (0, 1)]  # fmt: skip
    if all(side <= picked for side in sides):
        return _said(verdict, Choice(by, True, 0, same_way=True, who=who), None)
    for i in (0, 1):
        if sides[i] <= picked and not sides[1 - i] & picked:
            ends = [_end(frame, item, by, sides[i], sides[1 - i]) for frame in frames]
            choice = Choice(by, True, next(filter(None, ends), 0), who=who, apart=True)
            return _said(verdict, choice, None, turned=i == 1)
    return None


def _end(frame: pd.DataFrame, item: str, by: str, mine: set[str], rest: set[str]) -> int:
    """On which side of the others the picked lie, by the column they were picked by; 0: neither,
    or it is not there."""
    if by not in frame or not pd.api.types.is_numeric_dtype(frame[by]):
        return 0
    values = frame[by].groupby(labels(frame[item])).mean().dropna()
    return _extreme(mine, {str(i): float(v) for i, v in values.items() if i in mine | rest})[0]


def _start(
    table: Table, test: RateDifference, pool: WhoTried, picked: set[str], by: str
) -> tuple[tuple[int, ...], int, float]:
    """Which condition the picking was done under (both, where nothing tells), which end was
    picked, and how much wider than binomial the counts of one item scatter."""
    sides = [rate_of(pool, i) for i in (0, 1)]
    ends = [_extreme(picked, rates)[0] for rates in sides]
    first = came_first(table, test.successes, test.by, test.a, test.b)[1]
    if test.by == table.use:
        first = "a" if float(test.a) < float(test.b) else "b"
    wide = _wider(table, test)
    if first:
        at = "ab".index(first)
        return (at,), ends[at], wide
    seen = [i for i in (0, 1) if ends[i]]
    if len(seen) == 1:
        return (seen[0],), ends[seen[0]], wide
    return (0, 1), 0, wide


def rate_of(pool: WhoTried, side: int) -> dict[str, float]:
    """The share of successes of each who tried under one condition."""
    n = pool.cells[:, side].sum(axis=1)
    return {name: float(pool.cells[k, side, 0] / n[k])
            for k, name in enumerate(pool.names) if n[k] > 0}  # fmt: skip


def _wider(table: Table, test: RateDifference) -> float:
    """Pearson's dispersion of the rows of one item under one condition; 1 where each has one."""
    frame = table.frame[[table.item, test.by, test.successes, test.attempts]].dropna()
    frame = frame[frame[test.attempts] > 0]
    made, tried = frame[test.successes], frame[test.attempts]
    cell = [labels(frame[table.item]), labels(frame[test.by])]
    rate = made.groupby(cell).transform("sum") / tried.groupby(cell).transform("sum")
    open_ = (rate > 0) & (rate < 1)
    df = int(open_.sum()) - frame[open_].groupby([c[open_] for c in cell]).ngroups
    if df <= 0:
        return 1.0
    off = (made - tried * rate)[open_] ** 2 / (tried * rate * (1 - rate))[open_]
    return max(1.0, float(off.sum()) / df)


def _another_reading(
    case: Case, table: Table, test: RateDifference, column: str, start: tuple[int, ...]
) -> bool:
    """Whether they were picked by something else than the throws the comparison starts from.

    A column that differs from row to row is read off the same throws, and so may be one that is
    no measure (a first score).
    """
    by = str(table.chosen_by)
    if test.by == table.use and len(start) == 1 and by in table.frame:
        at = float((test.a, test.b)[start[0]])
        return any(use < at for use in table.checkpoints)
    if by not in case.study.description.measures:
        return False
    if by not in table.frame:
        return True
    each = table.frame[by].groupby(labels(table.frame[column])).nunique()
    return bool((each <= 1).all()) and by not in (test.successes, test.attempts)


def _back_of_rates(
    pool: WhoTried, picked: set[str], side: int, end: int, wider: float
) -> float:
    """How far the picked come back by themselves, as a share of attempts."""
    n = pool.cells[:, side].sum(axis=1)
    here = n > 0
    total = pool.cells[here, side]
    mean = float(total[:, 0].sum() / total.sum())
    error = wider * mean * (1 - mean) * float(np.mean(1 / n[here]))
    rates = rate_of(pool, side)
    mine = np.array([r for name, r in rates.items() if name in picked])
    every = np.array(list(rates.values()))
    if end and 0 < len(mine) < len(every):
        spread = float(every.var(ddof=1))
        share = min(1.0, error / spread) if spread > 0 else 1.0
        return share * abs(float(mine.mean() - every.mean()))
    return INTENSITY * math.sqrt(error)
