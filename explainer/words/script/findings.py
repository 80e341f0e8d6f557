"""What the data say about a claim, as a voice says it: whole and in one breath, nothing twice.

No link between items goes without its range and without the word that it compares different
ones; no claim is held back by a catch that is not named in the next sentence.
"""

from __future__ import annotations

import re
from collections.abc import Mapping

from explainer.claims.kinds import kind_of
from explainer.claims.verdict import Verdict
from explainer.words.facts.variants import SHAKY, shaky, subs
from explainer.words.page.claims import breath
from explainer.words.page.study import brief
from explainer.words.script.desk import Desk, Facts, aloud, found
from explainer.words.script.readaloud import said_words
from explainer.words.script.talk import Line

ONE_BREATH = 45
"""Most words of a finding that is short as it is."""
#: Words of a finding that give its verdict already, so that it is not given once more.
GIVEN: Mapping[str, str] = {
    "leans": r"\bleans?\b|settled|only signs",
    "cannot-tell": r"settle|can.?t (?:tell|see|say)|cannot (?:tell|say|separate)|stays open"
    r"|either way|not enough|both (?:answers )?fit|so far",
    "against": r"other way|\bnot\b|contrary|against|falls short|under",
}


def says(desk: Desk, verdict: Verdict, rank: int, warned: bool = False) -> Line:
    """What the data say about a claim.  ``warned``: that it compares different items is said by
    the line after it."""
    plainly = desk.words.claims[verdict.claim.id].plainly
    facts = breath(desk.teller, desk.judgement, verdict, plainly)
    if (before := _turned(desk, verdict, facts, rank)) is not None:
        said = desk.tell(f"turned.{verdict.code}", verdict.claim.id)
        return Line(said, rank, key=found(verdict), needs=before)
    text, short = desk.words.claims[verdict.claim.id].says, _in_one_breath(desk, verdict, facts)
    between = links(verdict) and verdict.code != "not-tested"
    warning = desk.tell("between", verdict.claim.id, **_items(facts)) if between else ""
    catch = caught(desk, verdict)
    whole = [text, catch, "" if warned else warning]
    shorter = [short, catch if verdict.code == "leans" else "", "" if warned else warning]
    only = desk.key == {verdict.claim.id}  # then there is room for all of it in every length
    return Line(_joined(whole), rank, brief=None if only else _joined(shorter), key=found(verdict))


def _joined(said: list[str]) -> str:
    return aloud(" ".join(s for s in said if s))


def _items(facts: Facts) -> Facts:
    return {"item": facts["item"], "items": facts["items"]}


def _turned(desk: Desk, verdict: Verdict, facts: Facts, rank: int) -> str | None:
    """The key of the line that said the same of another claim, which this one turns round."""
    if verdict.code not in ("backed", "against") or len(verdict.parts) > 1:
        return None
    said = facts["contrary"] if verdict.code == "against" else facts["clause"]
    key, first = desk.told.get(said, ("", 0))
    if key and first <= rank:
        return key
    desk.told.setdefault(said, (found(verdict), rank))
    return None


def _in_one_breath(desk: Desk, verdict: Verdict, facts: Facts) -> str:
    name = f"brief.{verdict.test.kind}.{verdict.code}"
    special = verdict.code == "cannot-tell" and subs(verdict)
    if len(verdict.parts) <= 1 and not special and desk.may(name, facts):
        return desk.tell(name, verdict.claim.id, **facts)
    said = desk.words.claims[verdict.claim.id].says
    if verdict.code == "against" and said_words(said) <= ONE_BREATH:
        return said  # the short form is what the answer says at the end
    return brief(desk.teller, verdict, facts, "script")


def links(verdict: Verdict) -> bool:
    """Whether the claim is about how two measures go together from one item to the next."""
    return any(kind_of(part).links for part in verdict.each)


def caught(desk: Desk, verdict: Verdict) -> str:
    """The sentence on what holds a claim back whose range alone would let it pass."""
    said = desk.words.claims[verdict.claim.id].because
    if not shaky(verdict) or not said:
        return ""
    paired = zip(said, verdict.reasons, strict=True) if len(said) == len(verdict.reasons) else ()
    return next((text for text, reason in paired if reason in SHAKY), said[0])


def because(desk: Desk, verdict: Verdict) -> list[tuple[str, str]]:
    """Why no more can be said, and its reason code where there is one.

    The same kind of reason is given once in a talk, and a catch is named with the finding.
    """
    said, catch = desk.words.claims[verdict.claim.id].because, caught(desk, verdict)
    if len(said) != len(verdict.reasons):
        return [(s, "") for s in said if s != catch]
    pairs = [(s, r) for s, r in zip(said, verdict.reasons, strict=True) if s != catch]
    fresh = [(s, r) for s, r in pairs if r not in desk.reasons]
    desk.reasons |= set(verdict.reasons)
    return fresh


def in_a_word(desk: Desk, verdict: Verdict, rank: int) -> Line:
    """The verdict itself, unless the finding gives it; one in one breath always does."""
    told = desk.words.claims[verdict.claim.id].says
    given = GIVEN.get(verdict.code, "")
    if given and re.search(given, told, re.IGNORECASE):
        return Line("", rank)
    nth = desk.verdicts[verdict.code]
    desk.verdicts[verdict.code] += 1
    said = desk.tell(f"verdict.{verdict.code}", verdict.claim.id, nth=nth)
    only = desk.key == {verdict.claim.id}
    return Line(said, rank, brief=None if only else "", needs=found(verdict))
