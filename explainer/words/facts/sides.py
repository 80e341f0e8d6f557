"""What phrases may say of the sides of a comparison where one of them has few items, or none."""

from __future__ import annotations

from typing import Any

from explainer.claims.difference import SidesDetail
from explainer.claims.evidence import label
from explainer.claims.no_difference import NoDifferenceDetail
from explainer.claims.no_worse import NoWorseDetail
from explainer.claims.ranking import RankingDetail
from explainer.claims.verdict import Verdict
from explainer.study.description.tests import Difference, NoDifference, NoWorse
from explainer.study.model import Table
from explainer.words.facts.items import side
from explainer.words.quantity.numbers import plural_of
from explainer.words.quantity.when import at_point, span_words

Facts = dict[str, Any]

#: Most that one side has for it to be said how few they are.
FEW = 3


def few(verdict: Verdict, item: str) -> Facts:
    """The smaller of two sides, where no more than three stand on it: two left-handers are two."""
    none, d, test = {"few_side": "", "few_n": 0}, verdict.detail, verdict.test
    if not isinstance(d, SidesDetail | NoWorseDetail | NoDifferenceDetail) or d.paired:
        return none
    if not isinstance(test, Difference | NoWorse | NoDifference) or not (d.n_a and d.n_b):
        return none
    if test.by is None or test.a is None or test.b is None:
        return none  # two checkpoints
    count, name = min((d.n_a, label(test.a)), (d.n_b, label(test.b)))
    if count > FEW or d.n_a == d.n_b:
        return none
    return {"few_side": side(name, test.by, plural_of(item)), "few_n": count}


def read_on(verdict: Verdict, told: Facts, table: Table | None) -> Facts:
    """Which of those compared alone has the readings that it takes, which of two has not, and
    which has too few of them."""
    d = verdict.detail
    none = {"side_only": "", "side_none": "", **_short(verdict, told, table)}
    if "one-group" not in verdict.reasons:
        return none
    if isinstance(d, RankingDetail):
        return none | ({"side_only": label(d.ranked[0])} if len(d.ranked or ()) == 1 else {})
    n_a, n_b = getattr(d, "n_a", 0), getattr(d, "n_b", 0)
    if bool(n_a) == bool(n_b):
        return none
    return none | {"side_only": told["a" if n_a else "b"], "side_none": told["b" if n_a else "a"]}


def _short(verdict: Verdict, told: Facts, table: Table | None) -> Facts:
    """The side with fewer items than the two that a test takes of each, where the other has more,
    with how many that are; whether each side has too few; and when they would have to be read."""
    d, test = verdict.detail, verdict.test
    none = {"short_side": "", "short_n": 0, "each_short": False, "when_asked": ""}
    if d.undefined not in ("no-side", "one-per-side") or isinstance(d, RankingDetail):
        return none
    n_a, n_b = getattr(d, "n_a", 0), getattr(d, "n_b", 0)
    at, from_, to = (getattr(test, name, None) for name in ("at", "from_", "to"))
    when = at_point(table, at) if at is not None else ""
    if from_ is not None and to is not None:
        when = span_words(table, from_, to)
    short = "" if n_a == n_b else told["a" if n_a < n_b else "b"]
    return {"short_side": short, "short_n": min(n_a, n_b), "each_short": max(n_a, n_b) < 2,
            "when_asked": f" {when}" if when else ""}  # fmt: skip


def few_of(told: Facts) -> str:
    """What there are too few of where a claim could not be tested: readings, readers or items."""
    if told["undefined"] == "one-operator":
        return str(told["operator_many"])
    of_side = f" on the side of {told['short_side']}" if told["short_side"] else ""
    return "readings" if told["few_readings"] else f"{told['items']}{of_side}"
