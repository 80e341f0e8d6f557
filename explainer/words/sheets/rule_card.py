"""The rule card in words: what players say of a rule, what to say back, and what a reading means.

It takes no side: reasons are told as given, each with its verdict, and the strongest fact for the
rule stands beside the strongest against it.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import partial
from typing import Any

from explainer.claims.verdict import (
    STRENGTH,
    UNANSWERED,
    ChainLink,
    Code,
    Judgement,
    RuleZone,
    Stand,
    Verdict,
)
from explainer.study.description.rule import Rule
from explainer.words.facts.items import operator_word
from explainer.words.facts.study import study_facts
from explainer.words.facts.zone import limit_words, zone_facts
from explainer.words.glossary.of_study import glossary_for
from explainer.words.page.cautions import Cautions, cautions
from explainer.words.page.claims import breath, claim_words
from explainer.words.page.prose import fill
from explainer.words.page.study import brief
from explainer.words.phrases.book import teller_for
from explainer.words.phrases.renderer import Teller
from explainer.words.quantity.numbers import as_given, count_words, ordinal, plural_of
from explainer.words.quantity.sizes import Sized, exact, listed, tally
from explainer.words.quantity.spoken import spoken
from explainer.words.quantity.when import at_point, day_words
from explainer.words.said import EditionWords
from explainer.words.say import in_first_units, say
from explainer.words.sentence import unjoined
from explainer.words.sheets.handout import AUDIENCE as LEAGUE, has_page, study_source
from explainer.words.speakers import saying, step_by

AUDIENCE = "coach"
#: What a league answers for itself, on lines left blank.
ASK = ("who", "gauge", "close", "fail", "mend")
#: Guards that differ by less are the same zone, told twice.
SAME = 1e-9

_FIGURES = re.compile(r"\d+(?:\.\d+)?")

Facts = Mapping[str, Any]


@dataclass(frozen=True)
class LinkWords:
    """One reason of the chain: what they say, what you can say, what the data say."""

    claim: str
    code: Code
    plainly: str
    label: str
    you: str
    says: str
    """What the data say about it, with n and range."""
    brief: str
    """The same in one breath, where room is short."""
    therefore: str
    weakest: bool
    saying: str = "They say"
    """Who gives it: ``The rule’s makers say``."""
    step_by: str = ""
    """Who takes the step to the next; empty without one."""


@dataclass(frozen=True)
class Fact:
    """The strongest thing on one side; ``code`` is empty where there is none."""

    says: str
    code: Code | str = ""
    label: str = ""


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
    weakest: str
    """Which reason carries least, in words; empty without reasons."""
    weakest_code: Code | str
    weakest_label: str
    follows: str
    """What no longer follows without it; empty where no step was given, or all are backed."""
    settle: str
    """What would settle it; empty where nothing about it is open."""
    speaks_for: Fact | None
    speaks_against: Fact | None
    """None without reasons."""
    not_follows: str
    number: str
    """That no reason names the limit itself; empty where one does, and without limit or reasons."""
    zone_lead: str
    rows: tuple[tuple[str, str], ...]
    """(if your ball reads, then)"""
    zone_note: tuple[str, ...]
    stands: tuple[str, ...]
    """How many of the tested items would meet the limit."""
    operators: tuple[str, ...]
    """Who reads differently, and by how much."""
    reading: tuple[str, ...]
    asks: tuple[str, ...]
    """Questions that a league answers in writing."""
    cautions: Cautions | None
    decides: str
    source: str
    more: str
    notice: str
    foot: str = ""
    edition: EditionWords = field(default_factory=EditionWords)
    earlier: tuple[str, ...] = ()
    corrected: int = 0


def say_rule(judgement: Judgement) -> RuleWords | None:
    """The card for a coach; None without a rule.  Raises as ``say`` does."""
    rule = judgement.study.description.rule
    if rule is None:
        return None
    study = judgement.study
    teller = teller_for(judgement, AUDIENCE)
    league = teller_for(judgement, LEAGUE, teller.book)
    known = {**study_facts(judgement), "base": has_page(judgement)}
    tell = partial(_tell, teller, facts=known)
    chain = judgement.chain
    source, more, notice, foot = study_source(teller, judgement)
    words = say(judgement, AUDIENCE)
    made = RuleWords(
        title=study.description.title,
        change=fill(rule.change, judgement).strip(),
        facts=_facts(teller, judgement, rule, known["described"]),
        lead=tell("card.lead" if chain else "card.none"),
        links=tuple(_link(league, judgement, link) for link in chain.links) if chain else (),
        fewer=_counted(teller, judgement, "card.fewer", len(chain.links) - 1 if chain else 0),
        **_weakest(league, judgement),
        speaks_for=_strongest(league, judgement, rule, "for") if chain else None,
        speaks_against=_strongest(league, judgement, rule, "against") if chain else None,
        not_follows=tell("card.not") if chain else "",
        number=_number(teller, judgement),
        **_zone(teller, judgement),
        stands=_stands(teller, judgement),
        operators=_operators(teller, judgement),
        reading=_reading(teller, judgement, rule),
        asks=tuple(tell(f"card.ask.{name}") for name in ASK),
        cautions=cautions(judgement, teller),
        decides=tell("decides"),
        source=source,
        more=more,
        notice=notice,
        foot=foot,
        edition=words.edition,
        earlier=_counted(teller, judgement, "handout.earlier", len(words.edition.corrections)),
        corrected=len(words.edition.corrections),
    )
    return in_first_units(judgement, made)


def _facts(
    teller: Teller, judgement: Judgement, rule: Rule, tested: str
) -> tuple[tuple[str, str], ...]:
    rows = [("From", day_words(rule.in_force)), ("Who it applies to", rule.affects or "")]
    zone = judgement.rule_zone
    if zone is not None:
        term = judgement.study.term(zone.measure)
        meant = glossary_for(judgement.study).find(term)
        more = {
            "term": term, "plainly": meant.plainly if meant else "",
            "limit": limit_words(judgement, zone),
            "side": "at least" if zone.at_least is not None else "at most", "both": zone.both,
        }  # fmt: skip
        rows.append(("The limit", teller.tell(["card.limit"], more, about="limit")))
    rows.append(("Tested", tested.removesuffix(".")))
    said = [(name, fill(value, judgement).strip()) for name, value in rows]
    return tuple((name, value[:1].upper() + value[1:]) for name, value in said if value)


# What they say, and what to say back ----------------------------------------------------------

def _link(league: Teller, judgement: Judgement, link: ChainLink) -> LinkWords:
    """A reason in the words of the handout: a player reads the same on both."""
    verdict = judgement.verdict(link.claim)
    said = claim_words(league, judgement, verdict)
    known = {**breath(league, judgement, verdict, said.plainly), "code": verdict.code}
    return LinkWords(
        claim=link.claim, code=link.code, plainly=said.plainly, label=said.label,
        you=league.tell([f"card.you.{link.code}"], known, about=link.claim, stream="card.you"),
        says=said.says, brief=_brief(league, judgement, verdict),
        therefore=fill(link.therefore or "", judgement).strip().rstrip("."),
        weakest=link.weakest, saying=saying(verdict.claim), step_by=step_by(link),
    )  # fmt: skip


def _brief(league: Teller, judgement: Judgement, verdict: Verdict) -> str:
    said = claim_words(league, judgement, verdict)
    return brief(league, verdict, breath(league, judgement, verdict, said.plainly), "rule-card")


def _counted(teller: Teller, judgement: Judgement, name: str, most: int) -> tuple[str, ...]:
    """A sentence for each number of things up to ``most``, by that number; none for none."""
    base = has_page(judgement)
    return ("",) + tuple(
        teller.tell([name], {"n": n, "count": count_words(n), "base": base}, about=name)
        for n in range(1, most + 1)
    )


def _weakest(league: Teller, judgement: Judgement) -> dict[str, Any]:
    """Which reason carries least, and what no longer follows without it."""
    chain = judgement.chain
    if chain is None:
        return dict.fromkeys(("weakest", "weakest_code", "weakest_label", "follows", "settle"), "")
    place = next(i for i, link in enumerate(chain.links, 1) if link.weakest)
    said = claim_words(league, judgement, judgement.verdict(chain.weakest))
    therefore = fill(chain.links[place - 1].therefore or "", judgement).strip().rstrip(".")
    facts = {
        "place": ordinal(place), "of": count_words(len(chain.links)), "plainly": said.plainly,
        "therefore": unjoined(therefore),
    }  # fmt: skip
    name = "card.weakest" if len(chain.links) > 1 else "card.weakest.one"
    follows = therefore and chain.code != "backed"
    return {
        "weakest": _tell(league, name, facts), "weakest_code": chain.code,
        "weakest_label": said.label,
        "follows": _tell(league, "card.follows", facts) if follows else "", "settle": said.settle,
    }  # fmt: skip


def _number(teller: Teller, judgement: Judgement) -> str:
    """That no reason names the limit: not in its words, not in its step, not in what was tested."""
    zone, chain = judgement.rule_zone, judgement.chain
    if zone is None or chain is None:
        return ""
    told = " ".join(
        f"{judgement.verdict(link.claim).claim.model_dump_json()} {link.therefore or ''}"
        for link in chain.links
    ).replace(",", "")
    figures = {abs(float(number)) for number in _FIGURES.findall(told)}
    ends = [abs(edge) for edge in (zone.at_least, zone.at_most) if edge is not None]
    named = any(
        edge in figures or re.search(rf"\b{re.escape(spoken(as_given(edge)))}\b", told, re.I)
        for edge in ends
    )
    if named:
        return ""
    return _tell(teller, "card.number", {"limit": limit_words(judgement, zone), "named": named,
                                         "both": zone.both})  # fmt: skip


def _strongest(league: Teller, judgement: Judgement, rule: Rule, side: str) -> Fact:
    """The strongest fact on one side, among the reasons and what would speak for the rule, too.

    Strongest for it: backed, else leaning, the reasons before the others.  Against it: what the
    data contradict; a claim that is open speaks for neither side.
    """
    ids = dict.fromkeys((*(link.claim for link in rule.links), *rule.also))
    verdicts = [judgement.verdict(id) for id in ids]
    if side == "for":
        found = [v for v in verdicts if v.code in ("backed", "leans")]
        found.sort(key=lambda v: -STRENGTH.index(v.code))
    else:
        found = [v for v in verdicts if v.code == "against"]
    if found:
        said = claim_words(league, judgement, found[0])
        facts = {"plainly": said.plainly, "label": said.label,
                 "brief": _brief(league, judgement, found[0])}  # fmt: skip
        return Fact(_tell(league, f"card.{side}", facts), found[0].code, said.label)
    open_ = next((v for v in verdicts if v.code in UNANSWERED), None)
    if side == "for" or open_ is None:
        return Fact(_tell(league, f"card.{side}.none", {}))
    said = claim_words(league, judgement, open_)
    facts = {"plainly": said.plainly, "label": said.label}
    return Fact(_tell(league, "card.against.open", facts), open_.code, said.label)


# A reading near the limit ---------------------------------------------------------------------

def _stands(teller: Teller, judgement: Judgement) -> tuple[str, ...]:
    """How many of the tested items would meet the limit, and by which zone where not the card's."""
    study, zone = judgement.study, judgement.rule_zone
    stands = judgement.rule_readings.stands
    said = [_tell(teller, "card.stand", _stand(judgement, made)) for made in stands]
    if stands and zone is not None:
        made, guard = stands[-1], zone.guard or 0.0
        if abs(made.guard - guard) > SAME * max(1.0, guard):
            table = study.tables[made.table]
            facts = {
                "n": made.n, "readings": made.readings, "chart": bool(table.reading_error),
                "times_read": "twice" if made.readings == 2
                else f"{count_words(made.readings)} times",
                "guard": exact(made.guard, zone.unit),
            }  # fmt: skip
            said.append(_tell(teller, "card.stand.other", facts))
    return tuple(said)


def _stand(judgement: Judgement, made: Stand) -> dict[str, Any]:
    table = judgement.study.tables[made.table]
    when = at_point(table, made.at) if made.at is not None else ""
    none = {0: "none"}
    return {
        "balls": tally(made.n, table.item), "when": when,
        "both": judgement.rule_zone is not None and judgement.rule_zone.both,
        "meets": none.get(made.meets, str(made.meets)),
        "close": none.get(made.close, str(made.close)),
        "misses": none.get(made.misses, str(made.misses)),
    }  # fmt: skip


def _operators(teller: Teller, judgement: Judgement) -> tuple[str, ...]:
    """Who reads differently, by the names and the word of the study's own column."""
    read, zone = judgement.rule_readings, judgement.rule_zone
    if zone is None:
        return ()
    if not read.desks:
        return (_tell(teller, "card.operators.none", {}),)
    levels = read.desks
    apart = levels[0].apart - levels[-1].apart
    each = [
        f"{level.name} {Sized(abs(level.apart), None, None, zone.unit).rough} "
        f"{'higher' if level.apart > 0 else 'lower'}"
        for level in levels if level.apart
    ]  # fmt: skip
    facts = {
        "balls": tally(read.n_items, judgement.study.description.tested.item), "n": len(levels),
        "word": plural_of(operator_word(read.column)), "high": levels[0].name,
        "low": levels[-1].name, "apart": Sized(apart, None, None, zone.unit).rough,
        "each": listed(each),
    }  # fmt: skip
    if not apart:
        return (_tell(teller, "card.operators.same", facts),)
    return tuple(_tell(teller, name, facts) for name in ("card.operators", "card.operators.each"))


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
    never = zone.both and zone.meets is None
    rows = tuple(
        (mark(f"zone.{name}"), tell(f"zone.{name}.then"))
        for name in (("close", "misses") if never else ("meets", "close", "misses"))
    )
    names = ["zone.standard", f"zone.note.{zone.source}", _checked(facts, zone), "zone.chance"]
    names = ["zone.never", *names] if never else names
    note = tuple(tell(name) for name in names)
    return {"zone_lead": tell("zone.lead"), "rows": rows, "zone_note": note}


def _checked(facts: Facts, zone: RuleZone) -> str:
    """Whether this study's own gauge check agrees with the uncertainty in use."""
    if zone.checked is None:
        return "card.gauge.none"
    if zone.measured is not None:
        return "zone.measured"
    return "card.gauge.less" if facts["checked_share"] < 0.9 else "card.gauge.agrees"


def _reading(teller: Teller, judgement: Judgement, rule: Rule) -> tuple[str, ...]:
    if rule.limit is None and not rule.reading:
        return ()
    name = "reading.given" if rule.reading else "reading.none"
    many = rule.mean_of or 1
    facts = {"reading": fill(rule.reading or "", judgement).strip(), "readings": many,
             "count": count_words(many)}  # fmt: skip
    return tuple(teller.tell([n], facts, about=n) for n in (name, "reading.write"))


def _tell(teller: Teller, name: str, facts: Facts) -> str:
    return teller.tell([name], facts, about=name)


def _mark(teller: Teller, name: str, facts: Facts) -> str:
    return teller.fragment([name], facts, about=name)
