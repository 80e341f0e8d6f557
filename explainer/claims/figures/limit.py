"""``limit``: readings against a rule's limit with its too-close-to-call zone."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from explainer.claims.figure_data import LimitData, LimitReading
from explainer.claims.figures.common import number_rows
from explainer.claims.limit import Called, LimitDetail, all_read, called, given_u
from explainer.claims.verdict import FigureResult, Finding, NumbersTable, Verdict
from explainer.study.description.figures import Limit
from explainer.study.description.tests import LimitTest
from explainer.study.model import Study


def picture(study: Study, figure: Limit, verdicts: Sequence[Verdict]) -> FigureResult:
    """One reading per item, and how each is called."""
    table = study.tables[figure.table]
    measure = study.measure(figure.y)
    low, high = _limits(study, figure)
    shown = _claim(figure, low, high, table.name, verdicts)
    if shown is not None:
        guard, u = shown.guard or 0.0, shown.u
        readings = [LimitReading(**call) for call in shown.items or ()]
        n_rows = shown.n_rows
    else:
        seen = _called(study, figure, (low, high))
        guard, u, n_rows = seen.guard, seen.u, seen.n_rows
        readings = [
            LimitReading(item, value, call.call,
                         None if seen.u is None else call.p_conform)
            for item, value, call in zip(seen.items, seen.values.tolist(), seen.calls, strict=True)
        ]
    counts = Counter(r.call for r in readings)
    claimed, otherwise = _claimed(figure, (low, high), table.name, verdicts, counts)
    given = given_u(study, table, figure.y, figure.at, "mean")
    data = LimitData(
        tuple(readings), low, high, guard, table.people, exact=u == 0.0, claimed=claimed,
        otherwise=otherwise,
        larger_u=figure.u is not None and given is not None and given > figure.u,
        all_read=all_read([r.value for r in readings], low, high),
    )
    rows = [(r.item, r.value, r.call, None if r.p_conform is None else 100 * r.p_conform)
            for r in readings]  # fmt: skip
    found = Finding("calls", {
        "n_pass": counts["pass"], "n_fail": counts["fail"], "n_close": counts["too-close"],
        "guard": guard, "n_items": len(readings),
        "limit": low if low is not None else high,
        "side": "at least" if low is not None else "at most",
        **({"upper": high} if low is not None and high is not None else {}),
        **_sides(readings, low, high),
    })  # fmt: skip
    return FigureResult(
        figure, data, (found,),
        NumbersTable((table.item, figure.y, "call", "chance it conforms"),
                     ("", measure.unit, "", "percent"), number_rows(rows)),
        len(readings), n_rows,
    )  # fmt: skip


def _sides(
    readings: Sequence[LimitReading], low: float | None, high: float | None
) -> dict[str, int]:
    """Of two limits, how many readings miss the lower and how many the upper."""
    if low is None or high is None:
        return {}
    below = sum(r.call == "fail" and r.value < low for r in readings)
    return {"n_below": below, "n_above": sum(r.call == "fail" for r in readings) - below}


def _claim(
    figure: Limit, low: float | None, high: float | None, table: str, verdicts: Sequence[Verdict]
) -> LimitDetail | None:
    """What the claim says that judged these readings by this limit; first the one shown here.

    A claim may know a reading's uncertainty that the figure was not given: worked out again, the
    figure would call a reading that the page says is too close, or the other way about.
    """
    same = [
        part for v in verdicts for part in v.each
        if isinstance(part.test, LimitTest) and part.table == table and part.extra["items"]
        and part.test.take == "mean"
        and (part.test.measure, part.test.at) == (figure.y, figure.at)
        and (part.test.at_least, part.test.at_most) == (low, high)
    ]  # fmt: skip
    first = min(same, key=lambda part: part.claim.figure != figure.id, default=None)
    return first.detail if first and isinstance(first.detail, LimitDetail) else None


def _claimed(
    figure: Limit, limits: tuple[float | None, float | None], table: str,
    verdicts: Sequence[Verdict], counts: Counter[str],
) -> tuple[tuple[tuple[float | None, float | None], ...], Counter[str] | None]:  # fmt: skip
    """The other limits that claims hold the same readings to, and the calls by the first of them:
    a reader who sees two counts has to be told why.  First one that does not give ``counts``, and
    no calls where all do."""
    others = {
        (part.test.at_least, part.test.at_most): Counter(
            call["call"] for call in part.extra["items"])
        for v in verdicts for part in v.each
        if isinstance(part.test, LimitTest) and part.table == table and part.extra["items"]
        and part.test.take == "mean" and part.test.measure == figure.y
        and figure.at in (part.test.at, getattr(part.detail, "judged_at", None))
        and (part.test.at_least, part.test.at_most) != limits
    }  # fmt: skip
    told = sorted(others, key=lambda other: others[other] == counts)
    first = others[told[0]] if told else counts
    return tuple(told), None if first == counts else first


def _called(study: Study, figure: Limit, limits: tuple[float | None, float | None]) -> Called:
    """Each reading's call, where no claim has called them."""
    table = study.tables[figure.table]
    given = given_u(study, table, figure.y, figure.at, "mean")
    return called(table, figure.y, study.measure(figure.y), limits, figure.at, "mean", given)


def _limits(study: Study, figure: Limit) -> tuple[float | None, float | None]:
    """The figure's own limit, else the rule's."""
    if figure.at_least is not None or figure.at_most is not None:
        return figure.at_least, figure.at_most
    rule = study.description.rule
    if rule is not None and rule.limit is not None and rule.limit.measure == figure.y:
        return rule.limit.at_least, rule.limit.at_most
    return None, None
