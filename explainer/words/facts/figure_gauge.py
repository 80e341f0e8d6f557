"""What the phrases of ``gauge`` and ``limit`` know: how far off a gauge may be."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from explainer.claims.verdict import FigureResult
from explainer.study.description import figures as f
from explainer.study.model import Study, Table
from explainer.words.facts.figure_measure import ends_of, measure_of, signed_of
from explainer.words.facts.figure_ranges import uncalled
from explainer.words.facts.items import item_word, named
from explainer.words.quantity.numbers import rounded
from explainer.words.quantity.sizes import Sized, exact, level, listed, tally

Facts = dict[str, Any]
Found = Mapping[str, Mapping[str, Any]]


def gauge_facts(result: FigureResult, study: Study, table: Table, found: Found) -> Facts:
    figure, data = result.figure, result.data
    assert isinstance(figure, f.Gauge)
    unit = study.measure(figure.y).unit
    share, worst = found.get("share"), found.get("worst-item")
    hands = found.get("operators")
    sized = signed_of(share or {}, "percent", "percent")
    item = item_word(study, table)
    mdd = data.mdd
    return {
        **measure_of(study, figure.y, 1), **ends_of([r.y for r in data.readings], unit),
        "operators": tally(len(data.operators), "operator"),
        "repeats": share["n_repeats"] if share else None,
        "share": rounded(sized.value, sized.low, sized.high) if share else None,
        "share_range": sized.range_unit, "ranged": sized.ranged,
        "mdd": Sized(mdd, None, None, unit).rough if mdd else None,
        "margin_value": mdd, "margin_unit": unit,
        "high": hands["high"] if hands else None, "low": hands["low"] if hands else None,
        "high_always": bool(hands and hands["always"]),
        "hands_apart": Sized(hands["apart"], None, None, unit).rough if hands else None,
        "worst": named(item, worst["item"]) if worst else None,
        "worst_spread": Sized(worst["spread"], None, None, unit).rough if worst else None,
    }  # fmt: skip


def limit_facts(result: FigureResult, study: Study, table: Table, found: Found) -> Facts:
    figure, data = result.figure, result.data
    assert isinstance(figure, f.Limit)
    unit = study.measure(figure.y).unit
    calls = found.get("calls", {})
    item = item_word(study, table)
    by_call = {
        call: [named(item, r.item) for r in data.readings if r.call == call]
        for call in ("fail", "too-close")
    }
    return {
        **measure_of(study, figure.y, 1), **ends_of([r.value for r in data.readings], unit),
        "limit": level(calls.get("limit"), unit) if calls.get("limit") is not None else None,
        "at_least": calls.get("side") == "at least", "off_chart": bool(table.reading_error),
        "passes": calls.get("n_pass", 0), "fails": calls.get("n_fail", 0),
        "close": calls.get("n_close", 0),
        "guard": exact(data.guard, unit) if data.guard else None,
        **uncalled(calls.get("limit"), data.guard, unit, study.measure(figure.y).resolution),
        "failed": listed(by_call["fail"][:6]), "unsure": listed(by_call["too-close"][:6]),
    }  # fmt: skip
