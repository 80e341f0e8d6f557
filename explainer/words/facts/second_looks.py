"""What the second looks at a verdict found, as phrases need it: names, counts, other answers."""

from __future__ import annotations

from typing import Any

from explainer.claims.detail import SecondLooks
from explainer.claims.verdict import Verdict
from explainer.study.model import Study
from explainer.words.facts.items import named, table_of, the_ones
from explainer.words.quantity.numbers import bare, rounded
from explainer.words.quantity.sizes import FINE, Sized, gap_unit, per_step, tally
from explainer.words.sentence import put

Facts = dict[str, Any]

#: The names of the facts below, which every verdict has.
NAMES = """
    chosen_by chosen_declared chosen_end chosen_found chosen_holds chosen_who confounded_with
    confounded_within confounder confounder_a confounder_b confounder_then cut_end cut_many
    cut_piled cut_share excluded exclusion_turns falls_back left left_many left_tied left_turns
    operators_apart shared shared_from stayed stayed_answer unequal unequal_answer unequal_from
    unequal_to unshared whole_answer with_answer with_code
"""


def second_looks(v: Verdict, study: Study, item: str) -> Facts:
    """Every fact of ``NAMES``; empty or false where a look found nothing."""
    d, table = v.detail.design, table_of(v, study)
    ends = (d.cut_low > 0, d.cut_high > 0)
    return {
        "cut_share": f"{d.cut_low + d.cut_high} of {d.cut_of}" if any(ends) else "",
        "cut_end": "lowest and highest" if all(ends) else "lowest" if ends[0] else "highest",
        "cut_piled": d.cut_piled, "cut_many": d.cut_many,
        "left": the_ones(item, d.left, study, table),
        "left_many": tally(len(d.left), item) if d.left else "",
        "left_tied": d.left_tied, "left_turns": d.left_turns,
        "stayed": tally(d.stayed, item),
        "stayed_answer": answer(v, d.stayed_estimate, d.stayed_low, d.stayed_high),
        "whole_answer": answer(v, d.whole_estimate, d.whole_low, d.whole_high)
        if d.whole_n != v.n_items else "",
        "excluded": the_ones(item, d.excluded, study, table),
        "exclusion_turns": d.exclusion_turns, "with_code": d.with_code,
        "with_answer": answer(v, d.with_estimate, d.with_low, d.with_high),
        **_confounded(v, d, study), **_chosen(v, d, study),
        "shared": Sized(d.shared_sd, None, None, _unit(v, study)).rough if d.shared_sd else "",
        "shared_from": "" if d.shared_from == "declared" else named(item, d.shared_from),
        "unequal": d.unequal,
        "unequal_from": "" if d.unequal_from is None else f"{d.unequal_from:g}",
        "unequal_to": "" if d.unequal_to is None else f"{d.unequal_to:g}",
        "unequal_answer": answer(v, d.unequal_estimate, d.unequal_low, d.unequal_high),
        "unshared": d.unshared and v.code in ("backed", "leans", "against"),
    }  # fmt: skip


def answer(v: Verdict, estimate: float | None, low: float | None, high: float | None) -> str:
    """Another answer to the same claim, with its range: ``−21 microinches (−25 to −17)``."""
    if estimate is None:
        return ""
    if v.unit == "r":
        link = put("a link of {}", bare(rounded(estimate, *FINE)))
        if low is None or high is None:
            return link
        return put("{} ({} to {})", link, *(bare(rounded(v, *FINE)) for v in (low, high)))
    sized, step = Sized(estimate, low, high, v.unit), ""
    if " per " in v.unit:
        sized, step = per_step(sized)
    elif v.test.kind in _GAPS:
        sized = Sized(estimate, low, high, gap_unit(v.unit))
    said = put("{} {}", sized.signed, step) if step else sized.signed
    if not sized.ranged:
        return said
    if v.strip is not None and v.strip.level not in (None, 0.95):  # the claim shows another
        return put("{} (95% range {})", said, sized.span_bare)
    return put("{} ({})", said, sized.span_bare)


#: Kinds whose number is a difference of two readings, and so in the unit of one.
_GAPS = frozenset({"change", "no-change", "difference", "difference-in-change"})


def _unit(v: Verdict, study: Study) -> str:
    name = getattr(v.test, "measure", None) or getattr(v.test, "y", None)
    known = isinstance(name, str) and name in study.description.measures
    return gap_unit(study.measure(str(name)).unit) if known else gap_unit(v.unit)


def _confounded(v: Verdict, d: SecondLooks, study: Study) -> Facts:
    gap = d.operators_apart
    return {
        "confounder": d.confounder.replace("_", " "),
        "confounded_with": d.confounded_with.replace("_", " "),
        "confounder_a": d.confounder_a, "confounder_b": d.confounder_b,
        "confounder_then": d.confounder_then,
        "operators_apart": Sized(gap, None, None, _unit(v, study)).rough if gap else "",
        "confounded_within": d.confounder_within,
    }  # fmt: skip


def _chosen(v: Verdict, d: SecondLooks, study: Study) -> Facts:
    by = study.term(d.chosen_by) if d.chosen_by in study.description.measures else d.chosen_by
    return {
        "chosen_by": by.replace("_", " "),
        "chosen_who": f"the {' '.join(d.chosen_who)} ones" if d.chosen_who else "they",
        "chosen_declared": d.chosen_declared,
        "chosen_end": {1: "highest", -1: "lowest"}.get(d.chosen_side, ""),
        "chosen_holds": d.chosen_holds,
        "chosen_found": not Sized(v.estimate, v.low, v.high, v.unit).crosses,
        "falls_back": Sized(d.falls_back, None, None, _unit(v, study)).rough
        if d.falls_back else "",
    }  # fmt: skip
