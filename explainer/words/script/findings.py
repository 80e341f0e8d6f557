"""What the data say about a claim, as a voice says it: its meaning, its catch, its verdict.

No link between items goes without the word that it compares different ones; no claim is held back
by a catch that is not named in the next sentence.
"""

from __future__ import annotations

from collections.abc import Iterator

from explainer.claims.kinds import kind_of
from explainer.claims.verdict import Verdict
from explainer.words.facts.variants import SHAKY, shaky, subs
from explainer.words.script.desk import Desk, found
from explainer.words.script.measure import split
from explainer.words.script.talk import Line

#: Reasons that the finding itself tells, or that are no news to somebody who listens.
_TOLD = frozenset({
    "beyond-data", "not-a-data-question", "no-margin", "evenly-scattered", "real-but-small",
})


def says(desk: Desk, verdict: Verdict, rank: int) -> Line:
    """What the data say about a claim, with its catch where a catch holds it back."""
    desk.said.add(verdict.claim.id)
    if (before := _turned(desk, verdict, rank)) is not None:
        said = desk.tell(f"turned.{verdict.code}", verdict.claim.id)
        return Line(said, rank, key=found(verdict), needs=before, claim=verdict.claim.id)
    facts = desk.heard(verdict)
    between = links(verdict) and verdict.code not in ("not-tested", "cannot-tell")
    warning = desk.tell("between", verdict.claim.id, **_items(facts)) if between else ""
    whole = [finding(desk, verdict), caught(desk, verdict), warning]
    text = " ".join(s for s in whole if s)
    lead = verdict.claim.id in desk.key and not warning
    brief = _shorter(text) if lead else None
    return Line(text, rank, brief=brief, key=found(verdict), claim=verdict.claim.id)


def _shorter(text: str) -> str | None:
    """Without the cautious end of the range, which the answer gives at the end in any length."""
    kept = [s for s in split(text) if "cautious end" not in s and "At the very least" not in s]
    return " ".join(kept) if 0 < len(kept) < len(split(text)) else None


def finding(desk: Desk, verdict: Verdict) -> str:
    """What the data say, by the most particular phrase that is true and was not said too often;
    where none is true, in the page's own words."""
    code, finer = verdict.code, subs(verdict)
    kinds = ["any"] if len(verdict.parts) > 1 else [verdict.test.kind, "any"]
    names = [f"{kind}.{code}.{sub}" for kind in kinds for sub in finer]
    if not verdict.detail.one_item:  # the others speak of an average
        names += [f"{kind}.{code}" for kind in kinds]
    said = desk.hear(names, verdict)
    return said or desk.spoken(desk.words.claims[verdict.claim.id].says)


def why(desk: Desk, verdict: Verdict, reason: str) -> str:
    """One reason in a breath."""
    return desk.hear([f"why.{reason}.{verdict.test.kind}", f"why.{reason}"], verdict)


def caught(desk: Desk, verdict: Verdict) -> str:
    """What holds a claim back whose range alone would let it pass; said once."""
    if not shaky(verdict):
        return ""
    reason = next((r for r in verdict.reasons if r in SHAKY), "")
    return why(desk, verdict, reason) if reason else ""


def because(desk: Desk, verdict: Verdict) -> Iterator[str]:
    """Why no more can be said, beside the catch; each kind of reason is given once in a talk."""
    catch = next((r for r in verdict.reasons if r in SHAKY), "") if shaky(verdict) else ""
    told = _TOLD | ({"too-few-items"} if verdict.code == "not-tested" else set())
    for reason in verdict.reasons:
        if reason not in desk.reasons and reason != catch and reason not in told:
            desk.reasons.add(reason)
            if said := why(desk, verdict, reason):
                yield said


def links(verdict: Verdict) -> bool:
    """Whether the claim is about how two measures go together from one item to the next."""
    return any(kind_of(part).links for part in verdict.each)


def in_a_word(desk: Desk, verdict: Verdict, rank: int) -> Line:
    """Whether that bears out whoever made the claim; a finding that settles nothing says so."""
    if verdict.code not in ("backed", "against"):
        return Line("", rank)
    name = f"verdict.{verdict.code}" + ("" if verdict.claim.of_report else ".theirs")
    said = desk.spare(name, verdict.claim.id)
    return Line(said, rank, needs=f"quote {verdict.claim.id}")


def _items(facts: dict[str, object]) -> dict[str, object]:
    return {"item": facts["item"], "items": facts["items"]}


def _turned(desk: Desk, verdict: Verdict, rank: int) -> str | None:
    """The key of the line that said the same of another claim, which this one turns round."""
    if verdict.code not in ("backed", "against") or len(verdict.parts) > 1:
        return None
    facts = desk.heard(verdict)
    said = str(facts["contrary"] if verdict.code == "against" else facts["clause"])
    key, first = desk.told.get(said, ("", 0))
    if key and first <= rank:
        return key
    desk.told.setdefault(said, (found(verdict), rank))
    return None
