"""``rate-difference``: successes out of attempts under a against b.

Whoever repeats under both is the item.  Where different people stand under each condition they are
compared as such, within the strata that ``within`` names, and what is counted is people.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from explainer.analysis import rates
from explainer.analysis.limits import Ends, p_inside
from explainer.analysis.result import Estimate, Undefined
from explainer.claims import evidence, rules
from explainer.claims.build import Case, Story, nothing_to_test, settled, undefined, unsettled
from explainer.claims.change import change_power
from explainer.claims.detail import Detail, published
from explainer.claims.evidence import Floats
from explainer.claims.verdict import Code, Power, Strip, Verdict
from explainer.study.description.tests import RateDifference
from explainer.study.model import Table

Cells = npt.NDArray[np.float64]


@dataclass(frozen=True, kw_only=True)
class RateDetail(Detail):
    a: str = ""
    b: str = ""
    by: str = ""
    within: str | None = None
    who: str = ""
    """The word for what counts: whoever repeats, each of the different people, or an attempt."""
    independent: bool = False
    """Different people stand under a and b."""
    n_strata: int = 0
    """Strata that are compared within, where the test names them; else 0."""
    rate_a: float | None = None
    """Pooled share of successes under each condition, of those who tried both."""
    rate_b: float | None = None
    attempts: int = 0
    n_up: int = 0
    n_down: int = 0
    odds: bool = False
    """The estimate is a ratio of odds, and what is nothing is 1."""
    p_zone: float | None = None
    mix: float | None = None
    """The part of the pooled difference that who tried what makes alone."""
    pooled_difference: float | None = published("Difference of the pooled rates", "claim")
    odds_ratio: float | None = published("Odds ratio")
    odds_low: float | None = published("95% range of it, low end")
    odds_high: float | None = published("95% range of it, high end")
    p_cmh: float | None = published("p, within each (Cochran, Mantel and Haenszel)", "p")
    p_breslow_day: float | None = published(
        "p, that it differs from one to the next (Breslow and Day)", "p"
    )


@dataclass(frozen=True)
class WhoTried:
    """Who tried what: one entry per person and condition, summed over rows."""

    names: tuple[str, ...]
    cells: Cells
    """(who, [a, b], [successes, failures]); the attempts of one who lacks a side are 0."""
    strata: tuple[str, ...]
    """The stratum of each, where the test names one; else empty text."""
    counted: bool
    """Every attempt is another one of what counts: rows are printed counts, not people."""

    @property
    def both(self) -> npt.NDArray[np.bool_]:
        """Who has attempts under both conditions."""
        both: npt.NDArray[np.bool_] = self.cells.sum(axis=2).min(axis=1) > 0
        return both

    @property
    def once(self) -> bool:
        """Whether each had one attempt at most, so that nobody can repeat."""
        return bool(np.all(self.cells.sum(axis=(1, 2)) <= 1))


def judge(case: Case) -> Verdict:
    """Who repeats under both is compared with themselves; different people within their strata."""
    test = case.test
    assert isinstance(test, RateDifference)
    table = rates_table(case, test)
    if nothing := nothing_to_test(case, table, "rate"):
        return nothing
    detail: Story = {"a": str(test.a), "b": str(test.b), "by": test.by, "within": test.within}
    detail |= {"at_least": test.at_least, "margin": test.margin, "odds": test.in_ == "odds"}
    again = who_repeat(table, test)
    if again is None:
        return _different(case, table, counts(table, test), detail)
    if test.in_ == "odds":
        return unsettled(case, "not-tested", [], unit="odds ratio", n_items=len(again.names),
                         n_rows=len(table.frame), table=table.name,
                         detail={**detail, "undefined": "odds-of-repeats"})  # fmt: skip
    return _same(case, table, again, detail)


def who_repeat(table: Table, test: RateDifference) -> WhoTried | None:
    """Those who tried under both conditions, by their own name or by ``within``; None where
    different people stand under each."""
    who = counts(table, test)
    named = test.within not in (None, table.item)
    if named and test.in_ != "odds" and (test.by == table.item or not (who.counted or who.once)):
        # The item of this kind is whoever repeats, and that is who stands under ``within``.
        return counts(table, test, test.within)
    return None if who.counted or who.once or not who.both.any() else who


def _same(case: Case, table: Table, who: WhoTried, detail: Story) -> Verdict:
    """The same ones under both: each one's own difference, weighted by attempts, t over them."""
    test, both, cells = case.test, who.both, who.cells
    assert isinstance(test, RateDifference)
    detail["who"] = test.within or table.item
    stratified = rates.stratified(cells)
    if not isinstance(stratified, Undefined):
        detail |= {
            "pooled_difference": stratified.pooled_difference,
            "odds_ratio": stratified.odds_ratio, "p_cmh": stratified.p_cmh,
            "p_breslow_day": stratified.p_breslow_day,
        }  # fmt: skip
    detail["without"] = [w for w, ok in zip(who.names, both, strict=True) if not ok]
    n_rows = len(table.frame)
    s, n = cells[both, :, 0], cells[both].sum(axis=2)
    result = rates.per_item_difference(s[:, 0], n[:, 0], s[:, 1], n[:, 1])
    if isinstance(result, Undefined):
        return undefined(case, result, unit="rate", n_rows=n_rows, table=table.name,
                         detail=detail)  # fmt: skip
    gaps = s[:, 0] / n[:, 0] - s[:, 1] / n[:, 1]
    names = [w for w, ok in zip(who.names, both, strict=True) if ok]
    each = leave_one_out(gaps, n.prod(axis=1) / n.sum(axis=1))
    result = rates.possible(result)
    code, reasons = _directed(case, result, detail.get("pooled_difference"))
    fragile, which = rules.carried(
        code, result.value, each, case.limits["fragile_halving"], rules.SIDE[test.direction],
        test.at_least,
    )  # fmt: skip
    if fragile and test.margin is None:
        reasons.append("fragile")
        detail |= {"fragile_item": names[which], "fragile_without": each[which]}
        code = rules.unseated(code)
    if code == "cannot-tell" and len(gaps) <= 3:
        reasons.append("too-few-items")
    detail |= {
        **_rates(s, n), "n_up": int((gaps > 0).sum()), "n_down": int((gaps < 0).sum()),
        "mix": composition(s, n),
    }  # fmt: skip
    return _settled(case, table, code, reasons, result, detail,
                    change_power(gaps, None, "rate", case.limits))  # fmt: skip


def _different(case: Case, table: Table, who: WhoTried, detail: Story) -> Verdict:
    """Other people under each condition: each once (Newcombe, or Mantel–Haenszel in strata with
    Sato's range), or with several attempts each (a range over people)."""
    test = case.test
    assert isinstance(test, RateDifference)
    s, n = who.cells[:, :, 0], who.cells.sum(axis=2)
    once = who.counted or who.once
    apart = {name: k for k, name in enumerate(dict.fromkeys(who.strata))}
    place = np.array([apart[name] for name in who.strata], dtype=int)
    tables = np.zeros((len(apart), 2, 2))
    np.add.at(tables, place, who.cells)
    compared = tables.sum(axis=2).min(axis=1) > 0
    detail |= {
        "independent": True, "n_strata": int(compared.sum()) if len(apart) > 1 else 0,
        "who": _word(table, test), **_rates(s, n),
    }  # fmt: skip
    total = tables.sum(axis=0)
    if total.sum(axis=1).min() > 0:
        share = total[:, 0] / total.sum(axis=1)
        detail["pooled_difference"] = float(share[0] - share[1])
    if once and len(apart) > 1:
        stratified = rates.stratified(tables)
        if not isinstance(stratified, Undefined):
            detail |= {"odds_ratio": stratified.odds_ratio, "p_cmh": stratified.p_cmh,
                       "p_breslow_day": stratified.p_breslow_day}  # fmt: skip
    ratio = rates.log_odds_ratio(tables) if once else None
    if isinstance(ratio, Estimate):
        detail |= {"odds_ratio": math.exp(ratio.value), "odds_low": math.exp(ratio.at95.low),
                   "odds_high": math.exp(ratio.at95.high)}  # fmt: skip
    if test.in_ == "odds":
        return _of_odds(case, table, ratio, who, detail)
    if once and len(apart) > 1:
        result = rates.mantel_haenszel(tables)
    elif once:
        (a, b), (n_a, n_b) = total[:, 0], total.sum(axis=1)
        result = rates.newcombe(a, n_a, b, n_b)
        if not isinstance(result, Undefined):
            result = replace(result, n_items=int(n_a + n_b))
    else:
        side = (n[:, 1] > 0).astype(int)
        result = rates.clustered(side, s.sum(axis=1), n.sum(axis=1))
    if isinstance(result, Undefined):
        return undefined(case, result, unit="rate", n_rows=len(table.frame), table=table.name,
                         detail=detail)  # fmt: skip
    result = rates.possible(result)
    code, reasons = _directed(case, result, detail.get("pooled_difference"))
    return _settled(case, table, code, reasons, result, detail, None)


def _word(table: Table, test: RateDifference) -> str:
    """What counts, where each stands on one side: the item, else an attempt."""
    return "attempt" if test.by == table.item else table.item


def _rates(s: Floats, n: Floats) -> Story:
    """Pooled shares of success under each condition."""
    made, tried = s.sum(axis=0), n.sum(axis=0)
    share = [float(m / t) if t > 0 else None for m, t in zip(made, tried, strict=True)]
    return {"rate_a": share[0], "rate_b": share[1], "attempts": int(tried.sum())}


def _directed(case: Case, result: Estimate, pooled: float | None) -> tuple[Code, list[str]]:
    """The verdict of the range alone, and whether the totals say the reverse."""
    assert isinstance(case.test, RateDifference)
    test, zone = case.test, zone_of(case.test)
    code = rules.in_zone(result, zone) if zone is not None else rules.directed(
        result, rules.SIDE[test.direction], test.at_least, None)  # fmt: skip
    return code, ["reversal"] if rates.reversal(pooled, result.value) else []


def _settled(
    case: Case, table: Table, code: Code, reasons: list[str], result: Estimate, detail: Story,
    power: Power | None,
) -> Verdict:  # fmt: skip
    test = case.test
    assert isinstance(test, RateDifference)
    side, size, near = rules.SIDE[test.direction], test.at_least or 0.0, zone_of(test)
    zone: Ends | None = near
    if near is None and side:
        zone = (size, None) if side > 0 else (None, -size)
    elif near is not None and rules.narrow(result, near):
        reasons = [*reasons, "narrow-zone"]
    shown = result.at95 if near is None else result.at90
    p_line = rules.p_of_size(result, side, test.at_least)
    verdict = settled(
        case, code, result, unit="rate", n_rows=len(table.frame), table=table.name,
        reasons=reasons, power=power, level=shown.level,
        detail={**detail, "p_line": p_line if test.at_least else None,
                "p_zone": p_inside(result, near) if near else None},
        strip=Strip(result.value, shown.low, shown.high, zone, near, 0.0, "rate",
                    f"{test.b} ahead", f"{test.a} ahead",
                    beyond=None if side or near else size),
    )  # fmt: skip
    # That two rates are alike is shown by a range inside a margin, which no p against nothing is.
    return verdict if near is None else replace(verdict, p=None)


def zone_of(test: RateDifference) -> tuple[float, float] | None:
    """How far apart two rates may lie and still be unrelated to the condition; else None."""
    return None if test.margin is None else (-test.margin, test.margin)


def _of_odds(
    case: Case, table: Table, ratio: Estimate | Undefined | None, who: WhoTried, detail: Story
) -> Verdict:
    """The odds ratio, judged by its log: picked by outcome, nothing else can be told."""
    test = case.test
    assert isinstance(test, RateDifference)
    rows = len(table.frame)
    if ratio is None:
        return unsettled(case, "not-tested", [], unit="odds ratio", n_items=len(who.names),
                         n_rows=rows, table=table.name,
                         detail={**detail, "undefined": "odds-of-repeats"})  # fmt: skip
    if isinstance(ratio, Undefined):
        return undefined(case, ratio, unit="odds ratio", n_rows=rows, table=table.name,
                         detail=detail)  # fmt: skip
    side = rules.SIDE[test.direction]
    size = math.log(test.at_least) if test.at_least is not None else None
    code = rules.directed(ratio, side, size, None)
    line = test.at_least or 1.0
    value, low, high = (math.exp(v) for v in (ratio.value, ratio.at95.low, ratio.at95.high))
    verdict = unsettled(
        case, code, [], unit="odds ratio", n_items=ratio.n_items, n_rows=rows,
        method=ratio.method, estimate=value, table=table.name,
        detail={**detail, "p_line": rules.p_of_size(ratio, side, size) if size else None},
        strip=Strip(value, low, high, (line, None) if side > 0 else (None, line), None, 1.0,
                    "odds ratio", f"likelier with {test.b}", f"likelier with {test.a}",
                    inner=(math.exp(ratio.at80.low), math.exp(ratio.at80.high))),
    )  # fmt: skip
    return replace(verdict, low=low, high=high, level=0.95, p=ratio.p)


def leave_one_out(gaps: Floats, weights: Floats) -> list[float | None]:
    """The weighted mean without each in turn."""
    return [float(np.average(np.delete(gaps, i), weights=np.delete(weights, i)))
            for i in range(len(gaps))]  # fmt: skip


def composition(successes: Floats, attempts: Floats) -> float:
    """How far apart the pooled rates would be if nobody did better under either side.

    Each one's rate is held at the mean of their two, so that only who tried what is left: the
    mix's part of the pooled difference, a less b (Kitagawa 1955, J. Am. Stat. Assoc. 50, 1168).
    Both arrays are (who, [a, b]), every attempt above 0; a share.
    """
    own = (successes / attempts).mean(axis=1)
    a, b = (float(np.average(own, weights=attempts[:, side])) for side in (0, 1))
    return a - b


def rates_table(case: Case, test: RateDifference) -> Table:
    """The table with the counts."""
    if test.table is not None:
        return case.study.tables[test.table]
    return next(t for t in case.study.tables.values() if test.successes in t.frame.columns)


def counts(table: Table, test: RateDifference, who: str | None = None) -> WhoTried:
    """Successes and failures of each under a and b; ``who`` names the column of those who count.

    Without it that is the table's item.  One who stands in several strata counts as one in each.
    """
    whole = table.counted or test.by == table.item
    column = who or table.item
    within = test.within if who is None and test.within not in (None, table.item) else None
    columns = [test.by, test.successes, test.attempts, *([within] if within else [])]
    kept = table.frame[[*dict.fromkeys([column, *columns])]].dropna()
    strata = kept[within].astype(str).tolist() if within else [""] * len(kept)
    people = [""] * len(kept) if whole else kept[column].astype(str).tolist()
    keys = list(zip(people, strata, strict=True))
    place = {key: i for i, key in enumerate(dict.fromkeys(keys))}
    sides = {evidence.label(test.a): 0, evidence.label(test.b): 1}
    cells = np.zeros((len(place), 2, 2))
    made, tried = kept[test.successes].to_numpy(float), kept[test.attempts].to_numpy(float)
    for k, (key, condition) in enumerate(zip(keys, evidence.labels(kept[test.by]), strict=True)):
        side = sides.get(condition)
        if side is not None:
            cells[place[key], side] += made[k], tried[k] - made[k]
    return WhoTried(tuple(name for name, _ in place), cells, tuple(s for _, s in place), whole)
