"""Several claims at once: which are corrected for their number, and what luck alone would back.

The more is tested, the more looks real by luck.  The family that Holm's correction (1979) holds to
one false alarm is the report's own key findings, as a trial's primary endpoints are (ICH E9,
sections 2.2.2 and 5.6; FDA 2022, Multiple Endpoints in Clinical Trials); with none marked, all of
the report's claims.  Every other claim is judged alone, so that an aside that somebody adds cannot
change a verdict, and the page says once how many of so many luck would back.  A claim and its
mirror, or the same claim twice, are one.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from explainer.analysis.holm import holm
from explainer.claims import rules
from explainer.claims.build import ordered
from explainer.claims.kinds import kind_of
from explainer.claims.verdict import Luck, Verdict

#: How often a claim that does not hold is backed by luck, judged alone: a 95% range wholly on the
#: one side that is claimed, or on either; a 90% range wholly inside a zone.
ONE_SIDE, EITHER_SIDE, ZONE = 0.025, 0.05, 0.05
#: How often more it at least leans: by the 80% range.
LEANS_ONE_SIDE, LEANS_EITHER_SIDE, LEANS_ZONE = 0.1, 0.2, 0.1

#: What a mirror turns round, and what it swaps in which kinds.
_WAY = {"up": "any", "down": "any", "higher": "any", "lower": "any", "positive": "any",
        "negative": "any"}  # fmt: skip
_SWAPPED = {
    ("a", "b"): ("difference", "difference-in-change", "rate-difference", "spread", "agreement",
                 "no-difference"),
    ("x", "y"): ("association", "no-association"),
    ("from_", "to"): ("change", "no-change", "difference-in-change"),
}


def corrected(verdicts: Sequence[Verdict], alpha: float) -> list[Verdict]:
    """Holm over the family; raw p stays beside it, and every other claim has none.

    A verdict that rests on p < alpha and does not survive is demoted.  A claim of a size rests on
    its p against that size (``p_line``), so that one is corrected for it.  A verdict that rests
    on equivalence (a range inside a margin) has nothing to survive.
    """
    here = family(verdicts)
    shown = _once(verdicts, here, [v.p for v in verdicts])
    deciding = [_deciding(v) for v in verdicts]
    adjusted = _once(verdicts, here, deciding)
    return [
        _survives(replace(v, p_holm=p_holm), p, after, alpha) if mine else v
        for v, p_holm, p, after, mine in zip(verdicts, shown, deciding, adjusted, here, strict=True)
    ]


def family(verdicts: Sequence[Verdict]) -> list[bool]:
    """Which tests are corrected for one another: of the key findings, else of the report's own."""
    key = any(v.claim.is_key for v in verdicts)
    return [
        kind_of(v).corrected and v.p is not None
        and (v.claim.is_key if key else v.claim.of_report)
        for v in verdicts
    ]  # fmt: skip


def mirror_key(v: Verdict) -> tuple[Any, ...]:
    """The same for a claim and its mirror: up and down, a against b and b against a."""
    said = v.test.model_dump(mode="json")
    if "direction" in said:
        said["direction"] = _WAY.get(said["direction"], said["direction"])
    for (one, other), kinds in _SWAPPED.items():
        if v.test.kind in kinds:
            said[one], said[other] = sorted((said[one], said[other]), key=repr)
    return tuple(sorted((key, repr(value)) for key, value in said.items()))


def _once(
    verdicts: Sequence[Verdict], here: Sequence[bool], ps: Sequence[float | None]
) -> list[float | None]:
    """Holm-adjusted p of those in the family, mirrors and repetitions counting once."""
    keys = [mirror_key(v) for v in verdicts]
    least: dict[tuple[Any, ...], float] = {}
    for key, p, mine in zip(keys, ps, here, strict=True):
        if mine and p is not None:
            least[key] = min(p, least.get(key, p))
    after = dict(zip(least, holm(list(least.values())), strict=True))
    return [after.get(key) if mine else None for key, mine in zip(keys, here, strict=True)]


def _deciding(v: Verdict) -> float | None:
    return v.p if v.detail.p_line is None else v.detail.p_line


def _survives(v: Verdict, p: float | None, p_adjusted: float | None, alpha: float) -> Verdict:
    if p is None or p_adjusted is None or v.code not in ("backed", "against"):
        return v
    if not p < alpha <= p_adjusted:
        return v
    return replace(
        v, code=rules.demoted(v.code), reasons=ordered([*v.reasons, "holm"]),
        detail=replace(v.detail, p_alone=p, p_after=p_adjusted),
    )  # fmt: skip


def luck(verdicts: Sequence[Verdict]) -> Luck:
    """How many of these claims luck alone would back, and how many it would at least make lean,
    if nothing were there in any of them; ``verdicts`` are those of single tests."""
    judged = [v for v in verdicts if kind_of(v).ranged and v.code != "not-tested" and v.level]
    alone = [v for v in judged if v.p_holm is None and v.test.kind != "repeatability"]
    every = [v for v in judged if v.test.kind != "repeatability"]
    once = {mirror_key(v): v for v in alone}.values()
    each = {mirror_key(v): v for v in every}.values()
    return Luck(
        alone=len(once), backed=sum(_errors(v)[0] for v in once),
        judged=len(each), leaning=sum(_errors(v)[1] for v in each),
    )  # fmt: skip


def _errors(v: Verdict) -> tuple[float, float]:
    """Its chance to be backed, and to be backed or lean, where it does not hold."""
    if kind_of(v).level < 0.95:
        return ZONE, LEANS_ZONE
    if rules.SIDE.get(getattr(v.test, "direction", "any"), 0) == 0:
        return EITHER_SIDE, LEANS_EITHER_SIDE
    return ONE_SIDE, LEANS_ONE_SIDE
