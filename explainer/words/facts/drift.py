"""What a claim of a drift adds to the facts of its verdict."""

from __future__ import annotations

from explainer.claims.trend import TrendDetail
from explainer.claims.verdict import Verdict
from explainer.study.description import tests as t
from explainer.study.model import Study, Table
from explainer.words.facts import comparatives as ways
from explainer.words.facts.items import item_word, named
from explainer.words.facts.kind_facts import (
    Facts,
    claimed_moves,
    measure_facts,
    record_of,
    series_name,
    tells,
)
from explainer.words.facts.relations import claimed_side
from explainer.words.language import words
from explainer.words.quantity.numbers import bare, rounded
from explainer.words.quantity.sizes import Sized, gap_unit, per_step, set_size
from explainer.words.quantity.when import at_point
from explainer.words.sentence import put


@tells(
    "about about_zone all_same at_least claimed_down claimed_drop claimed_falls claimed_fell flat "
    "rougher same series single slope slope_range slope_range_step slope_range_unit "
    "slope_signed slope_span smoother step term"
)
def drift(v: Verdict, study: Study, table: Table | None, sized: Sized) -> Facts:
    """trend."""
    test = v.test
    assert isinstance(test, t.Trend)
    d = record_of(v, TrendDetail)
    given = d.at_least or d.about or 0.0
    scaled, step = per_step(sized, given)
    # The size claimed, for the same round step as the slope.
    claimed = per_step(
        Sized(given, None, None, sized.unit, widest=sized.widest), *_known(sized)
    )[0].value
    told = set_size(round(claimed or 0.0, 12), scaled.unit) if given else None
    same = d.n_up if sized.sign > 0 else d.n_down
    single = d.single
    return {
        **measure_facts(study, test.measure, sized.sign or -1, "smoother", "rougher"),
        **claimed_moves(claimed_side(v), test.direction),
        "claimed_down": "" if test.direction == "any" else ways.moves(claimed_side(v))["down"],
        "series": series_name(test.over, table), "slope": scaled.size,
        "flat": scaled.vanishes,
        "slope_signed": scaled.signed, "slope_span": scaled.span_bare,
        "slope_range": scaled.reach("drift down", "drift up", unit=False),
        # On its own, where no best guess before it has said what it is of and per what.
        "slope_range_step": put("{} {}", scaled.reach("drift down", "drift up"), step),
        "slope_range_unit": scaled.slope_range_unit, "step": step, "same": same,
        "all_same": same == v.n_items and v.n_items > 1,
        "single": named(item_word(study, table), single) if single else None,
        "at_least": told if d.at_least else None, "about": told if d.about else None,
        "about_zone": _near_enough(v, sized),
        **_uneven_way(d, gap_unit(study.measure(test.measure).unit)),
    }  # fmt: skip


def flagged_at(v: Verdict, table: Table | None) -> str:
    """The one checkpoint that all flagged readings stand at, where each item has one there."""
    d = v.detail
    named = [name.rpartition(" ") for name in d.flagged]
    places = {place for *_, place in named}
    if not isinstance(d, TrendDetail) or table is None or d.over != table.use or len(places) != 1 \
            or v.n_items < 2 or len({item for item, *_ in named}) != v.n_items:  # fmt: skip
        return ""
    return at_point(table, float(places.pop()))


def _uneven_way(d: TrendDetail, unit: str) -> Facts:
    """What an even slope comes to, and where the last reading lies; ``uneven`` where that differs.

    Both are rough: they have no range here.
    """
    if d.even_change is None or d.ends_change is None:
        return {}  # as of any kind
    even, ends = (Sized(value, None, None, unit) for value in (d.even_change, d.ends_change))
    told = even.rough, ends.rough
    nothing = words("nothing")
    return {
        "uneven": (told[0], even.sign) != (told[1], ends.sign),
        "even_size": told[0], "ends_size": "" if told[1] == nothing else told[1],
        "even_down": "" if told[0] == nothing else ways.moves(even.sign or -1)["down"],
        "ends_side": "below" if ends.sign < 0 else "above",
    }  # fmt: skip


def _near_enough(v: Verdict, sized: Sized) -> str:
    """From where to where a slope is about the one claimed: ``0.08 to 0.125``."""
    zone = v.strip.claim_zone if v.strip is not None and getattr(v.detail, "about", None) else None
    if zone is None or zone[0] is None or zone[1] is None:
        return ""
    near = per_step(
        Sized(zone[0], *zone, sized.unit, widest=sized.widest), *_known(sized)
    )[0]
    return put("{} to {}", *(bare(rounded(v), near.unit) for v in (near.low, near.high)))


def _known(sized: Sized) -> list[float]:
    return [v for v in (sized.value, sized.low, sized.high) if v is not None]
