"""The rule card in words: what a rule asks, the reasons given, and what a reading near it means.

It takes no side: reasons are told as given, each with its verdict.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import partial
from typing import Any

from explainer.claims.verdict import ChainLink, Code, Judgement
from explainer.study.description.rule import Rule
from explainer.words.facts.study import study_facts
from explainer.words.facts.zone import limit_words, zone_facts
from explainer.words.joints import unjoined
from explainer.words.page.cautions import Cautions, cautions
from explainer.words.page.claims import breath, claim_words
from explainer.words.page.prose import fill
from explainer.words.page.study import brief
from explainer.words.phrases.book import teller_for
from explainer.words.phrases.renderer import Teller
from explainer.words.quantity.numbers import count_words, ordinal
from explainer.words.quantity.when import day_words
from explainer.words.sheets.handout import AUDIENCE as LEAGUE
from explainer.words.sheets.handout import study_source

AUDIENCE = "coach"

Facts = Mapping[str, Any]


@dataclass(frozen=True)
class LinkWords:
    """One reason of the chain."""

    claim: str
    code: Code
    plainly: str
    label: str
    says: str
    """What the data say about it, with n and range."""
    brief: str
    """The same in one breath, where room is short."""
    therefore: str
    weakest: bool


@dataclass(frozen=True)
class RuleWords:
    """Everything the rule card says."""

    title: str
    change: str
    facts: tuple[tuple[str, str], ...]
    """(label, value): from when, who is affected, the limit."""
    lead: str
    links: tuple[LinkWords, ...]
    fewer: tuple[str, ...]
    """What to say where this many reasons (the index) had to stay off the card."""
    follows: tuple[str, ...]
    not_follows: tuple[str, ...]
    zone_lead: str
    rows: tuple[tuple[str, str], ...]
    """(if your ball reads, then)"""
    zone_note: tuple[str, ...]
    reading: tuple[str, ...]
    cautions: Cautions | None
    decides: str
    source: str
    more: str
    notice: str


def say_rule(judgement: Judgement) -> RuleWords | None:
    """The card for a coach; None without a rule.  Raises as ``say`` does."""
    rule = judgement.study.description.rule
    if rule is None:
        return None
    study = judgement.study
    teller = teller_for(judgement, AUDIENCE)
    league = teller_for(judgement, LEAGUE, teller.book)
    known = study_facts(judgement)
    tell = partial(_tell, teller, facts=known)
    chain = judgement.chain
    source, more, notice = study_source(teller, judgement)
    return RuleWords(
        title=study.description.title,
        change=fill(rule.change, judgement).strip(),
        facts=_facts(teller, judgement, rule),
        lead=tell("rule-card.lead" if chain else "rule-card.lead.none"),
        links=tuple(_link(league, judgement, link) for link in chain.links) if chain else (),
        fewer=_fewer(teller, judgement),
        follows=_follows(teller, judgement),
        not_follows=_not_follows(teller, judgement, known),
        **_zone(teller, judgement),
        reading=_reading(teller, judgement, rule),
        cautions=cautions(judgement, teller),
        decides=tell("decides"),
        source=source,
        more=more,
        notice=notice,
    )


def _facts(teller: Teller, judgement: Judgement, rule: Rule) -> tuple[tuple[str, str], ...]:
    rows = [("From", day_words(rule.in_force)), ("Who it applies to", rule.affects or "")]
    zone = judgement.rule_zone
    if zone is not None:
        more = {
            "term": judgement.study.term(zone.measure), "limit": limit_words(judgement, zone),
            "side": "at least" if zone.at_least is not None else "at most",
        }  # fmt: skip
        rows.append(("The limit", teller.tell(["rule-card.limit"], more, about="limit")))
    said = [(name, fill(value, judgement).strip()) for name, value in rows]
    return tuple((name, value[:1].upper() + value[1:]) for name, value in said if value)


def _link(league: Teller, judgement: Judgement, link: ChainLink) -> LinkWords:
    """A reason in the words of the handout: a player reads the same on both."""
    verdict = judgement.verdict(link.claim)
    said = claim_words(league, judgement, verdict)
    return LinkWords(
        claim=link.claim, code=link.code, plainly=said.plainly, label=said.label, says=said.says,
        brief=brief(league, verdict, breath(league, judgement, verdict, said.plainly), "rule-card"),
        therefore=fill(link.therefore or "", judgement).strip().rstrip("."),
        weakest=link.weakest,
    )  # fmt: skip


def _fewer(teller: Teller, judgement: Judgement) -> tuple[str, ...]:
    chain = judgement.chain
    name = "rule-card.fewer"
    return ("",) + tuple(
        teller.tell([name], {"n": n, "count": count_words(n)}, about=name)
        for n in range(1, len(chain.links) if chain else 1)
    )


def _follows(teller: Teller, judgement: Judgement) -> tuple[str, ...]:
    """What follows if a reason fails, told of the weakest one."""
    chain = judgement.chain
    if chain is None:
        return ()
    place = next(i for i, link in enumerate(chain.links, 1) if link.weakest)
    therefore = fill(chain.links[place - 1].therefore or "", judgement).strip().rstrip(".")
    facts = {"place": ordinal(place), "therefore": unjoined(therefore)}
    names = ["rule-card.follows.step" if therefore else "rule-card.follows.last"]
    if len(chain.links) > 1:
        names.append("rule-card.follows.others")
    return tuple(teller.tell([name], facts, about=name) for name in names)


def _not_follows(teller: Teller, judgement: Judgement, known: Facts) -> tuple[str, ...]:
    chain = judgement.chain
    if chain is None:
        return ()
    names = ["rule-card.not.wrong"]
    if any(link.code in ("cannot-tell", "leans", "not-tested") for link in chain.links):
        names.append("rule-card.not.opposite")
    names.append("rule-card.not.right")
    return tuple(teller.tell([name], known, about=name) for name in names)


def _zone(teller: Teller, judgement: Judgement) -> dict[str, Any]:
    """The table of readings, its lead and how the zone was found."""
    zone = judgement.rule_zone
    if zone is None:
        return {"zone_lead": "", "rows": (), "zone_note": ()}
    facts = zone_facts(judgement, zone)
    tell = partial(_tell, teller, facts=facts)
    if zone.guard is None:
        return {"zone_lead": tell("zone.unknown"), "rows": (), "zone_note": ()}
    mark = partial(_mark, teller, facts=facts)
    if zone.guard == 0:
        sharp = (
            (mark("zone.meets"), tell("zone.meets.then")),
            (mark("zone.sharp.misses"), tell("zone.misses.then")),
        )
        return {"zone_lead": "", "rows": sharp, "zone_note": (tell("zone.note.sharp"),)}
    rows = tuple(
        (mark(f"zone.{name}"), tell(f"zone.{name}.then")) for name in ("meets", "close", "misses")
    )
    names = ["standard", f"note.{zone.source}", *(["measured"] if zone.measured else []), "chance"]
    note = tuple(tell(f"zone.{name}") for name in names)
    return {"zone_lead": tell("zone.lead"), "rows": rows, "zone_note": note}


def _reading(teller: Teller, judgement: Judgement, rule: Rule) -> tuple[str, ...]:
    if rule.limit is None and not rule.reading:
        return ()
    name = "reading.given" if rule.reading else "reading.none"
    facts = {"reading": fill(rule.reading or "", judgement).strip()}
    return tuple(teller.tell([n], facts, about=n) for n in (name, "reading.write"))


def _tell(teller: Teller, name: str, facts: Facts) -> str:
    return teller.tell([name], facts, about=name)


def _mark(teller: Teller, name: str, facts: Facts) -> str:
    return teller.fragment([name], facts, about=name)
