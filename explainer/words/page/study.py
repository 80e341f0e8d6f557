"""A study in sentences: the answer, 30 seconds of it, two minutes of it, and what is open."""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Collection, Mapping, Sequence
from itertools import groupby
from typing import Any

from explainer.claims.figures.pair import pairs
from explainer.claims.kinds import backed_though_small, kind_of, testable
from explainer.claims.rules import FEW, falls_short, strongest_backed
from explainer.claims.verdict import UNANSWERED, Judgement, OpenQuestion, Verdict
from explainer.study.model import Study, Table
from explainer.words.facts.items import item_word
from explainer.words.facts.study import (
    main_tables,
    other_tables,
    reach_of,
    study_facts,
    table_facts,
)
from explainer.words.facts.zone import zone_facts
from explainer.words.page.claims import breath, found, with_would
from explainer.words.page.figures import pair_words
from explainer.words.page.prose import author_words, fill
from explainer.words.page.report import edition_words, stated
from explainer.words.phrases.renderer import Teller, sentence, stopped
from explainer.words.quantity.everyday import Clause, fitted
from explainer.words.quantity.numbers import count_words, ordinal, plural_of
from explainer.words.quantity.sizes import listed, tally
from explainer.words.quantity.spoken import said_words
from explainer.words.said import ClaimWords, FigureWords, StudyWords
from explainer.words.speakers import contrary_to, in_voices, of_report, speaker_of

Facts = dict[str, Any]

MOST_IN_ANSWER = 3
#: What a claim of this kind says is not there, as the kind of the claim that finds it.
DENIED = {"no-association": "association", "no-change": "change", "no-difference": "difference"}
#: What leaves a test one of the same thing.
_HOW_MUCH = {"kind", "table", "direction", "at_least", "margin", "strong", "in_"}
#: Words that do not make one question another.
_SMALL = frozenset(("a", "an", "the", "after", "past", "beyond", "over", "then", "really", "also"))
#: A claim's place in the answer by its verdict.
PLACES = {"backed": "backed", "leans": "leans", "cannot-tell": "cannot", "against": "against",
          "not-tested": "untested"}  # fmt: skip


def study_words(
    teller: Teller,
    judgement: Judgement,
    claims: Mapping[str, ClaimWords],
    figures: Mapping[str, FigureWords],
) -> StudyWords:
    """The study's own sentences around those of its claims and figures."""
    known = study_facts(judgement)
    facts = claims_told(teller, judgement, claims)
    said_chain = chain(teller, judgement, known, facts, claims)
    open_ = questions(teller, judgement, known, facts, claims)
    asked = tuple(said for said, _ in open_)
    told = answer(teller, judgement, known, facts)
    return StudyWords(
        answer=told,
        short=short(teller, judgement, known, facts, claims),
        long=long(teller, judgement, known, facts, claims, said_chain, asked),
        tested=tested(teller, judgement, known),
        reach=reach(teller, judgement),
        claims=claims,
        figures=figures,
        pairs={p.under: pair_words(teller, judgement, p, claims) for p in pairs(judgement)},
        chain=said_chain,
        questions=asked,
        questioned=tuple(claim for _, claim in open_),
        stated=stated(teller, judgement),
        several=several(teller, judgement, known, _reckoned(facts, claims, open_)),
        disclaimer=teller.tell(["disclaimer"], known, about="study") if known["invented"] else "",
        unconfirmed=unconfirmed(teller, known),
        edition=edition_words(teller, judgement),
        voices=voices(teller, judgement),
        author=author_words(judgement, _answering(teller, judgement, facts), told),
    )


def _answering(
    teller: Teller, judgement: Judgement, facts: Mapping[str, Facts]
) -> dict[str, str]:
    """The claim that answers the running question, in one breath, by its id."""
    id = judgement.study.description.ending.answered_by
    return {id: brief(teller, judgement.verdict(id), facts[id], "author")} if id else {}


def unconfirmed(teller: Teller, known: Facts) -> str:
    """That guesses of a draft stand on the page, as long as any is not confirmed."""
    return teller.tell(["unconfirmed"], known, about="study") if known["unconfirmed"] else ""


def claims_told(
    teller: Teller, judgement: Judgement, claims: Mapping[str, ClaimWords]
) -> dict[str, Facts]:
    """The facts of every claim; ``mirrored`` where another claim says the contrary, and is backed.

    Then the contrary is the report's own finding too, and is not told twice.
    """
    found_ = {
        v.claim.id: breath(teller, judgement, v, claims[v.claim.id].plainly)
        for v in judgement.verdicts
    }
    mirrors = _mirrors(judgement, found_)
    return {name: {**known, "mirrored": name in mirrors} for name, known in found_.items()}


def key_verdicts(judgement: Judgement) -> list[Verdict]:
    """The claims the answer is built from: those the question turns on, else the rule's chain,
    else the report's first, with the one that the data back most clearly among them, or where they
    back none, the first that they point against.
    """
    key = [v for v in judgement.verdicts if v.claim.answers_question in (True, "yes")]
    if not key and judgement.chain is not None:
        key = [judgement.verdict(link.claim) for link in judgement.chain.links]
    if not key:
        every = [v for v in judgement.verdicts if testable(v)]
        own = list(of_report(every)) or every
        key, best = own[:MOST_IN_ANSWER], strongest_backed(own)
        best = best or next((v for v in own if v.code == "against"), None)
        if best is not None and best not in key:
            key[-1] = best
    return key[:MOST_IN_ANSWER]


def _mirrors(judgement: Judgement, facts: Mapping[str, Facts]) -> dict[str, Verdict]:
    """By a claim that fails, the claim that says the contrary, which the data back.

    It says so in the same words, or it finds what the other says is not there."""
    backed = [v for v in judgement.verdicts if v.code == "backed"]
    return {
        v.claim.id: b for v in judgement.verdicts if v.code == "against" for b in backed
        if facts[b.claim.id]["clause"] == facts[v.claim.id]["contrary"] or _denied(v) == _found(b)
    }  # fmt: skip


def _denied(verdict: Verdict) -> tuple[Any, ...]:
    """What a claim says is not there, of which rows, as ``_found`` has it of one that finds it."""
    kind = DENIED.get(verdict.test.kind, "")
    if getattr(verdict.test, "within", None) is True:
        kind = "tracks-within"
    return (kind, *_found(verdict)[1:])


def _found(verdict: Verdict) -> tuple[Any, ...]:
    """The kind of a claim, whose it is, and its columns and checkpoints in whatever order."""
    asked = verdict.test.model_dump(exclude=_HOW_MUCH).values()
    told = frozenset(str(value) for value in asked if value is not None and value is not True)
    alone = verdict.claim.id if len(verdict.parts) > 1 else ""  # says more than its first test
    return (verdict.test.kind, verdict.claim.said_by, verdict.table, alone, told - {"False"})


def to_tell(judgement: Judgement, facts: Mapping[str, Facts]) -> list[Verdict]:
    """The key claims; in place of one that fails the claim that says the contrary and is backed."""
    mirrors = _mirrors(judgement, facts)
    found_ = [mirrors.get(v.claim.id, v) for v in key_verdicts(judgement)]
    return [v for i, v in enumerate(found_) if v not in found_[:i]]


def counted(study: Study, known: Facts, verdicts: Sequence[Verdict]) -> Facts:
    """``known`` with how many items these claims rest on: so many, or the least and the most.

    Of each kind of item by itself, those the study is about first: ``4 to 10 balls and 2 bowlers``.
    ``each``: `` a claim`` where so many are those of one claim or another, and not of all; what
    nobody put to the test goes by nobody.
    """
    tested = [v for v in verdicts if v.code != "not-tested"]
    said, rested = [], _rested_on(study, known, tested)
    for item, counts in rested.items():
        most = tally(max(counts), item)
        said.append(most if len(counts) == 1 else f"{min(counts)} to {most}")
    differ = len(rested) == 1 and any(len(counts) > 1 for counts in rested.values())
    return {**known, "balls": listed(said) if said else known["balls"],
            "each": "" if not differ else " a claim" if len(tested) == len(verdicts)
            else " a claim tested"}  # fmt: skip


def _rested_on(study: Study, known: Facts, verdicts: Sequence[Verdict]) -> dict[str, set[int]]:
    """How many of each kind of item these claims rest on, those the study is about first."""
    counts: dict[str, set[int]] = {str(known["item"]): set()}
    for v in verdicts:
        table = study.tables.get(v.table)
        item = str(known["item"]) if table is None else item_word(study, table)
        if v.n_items:
            counts.setdefault(item, set()).add(v.n_items)
    return {item: each for item, each in counts.items() if each}


def answer(teller: Teller, judgement: Judgement, known: Facts, facts: Mapping[str, Facts]) -> str:
    """One sentence, at the strength the verdicts allow."""
    clauses: dict[str, list[str]] = {place: [] for place in PLACES.values()}
    by: dict[str, list[Verdict]] = {place: [] for place in PLACES.values()}
    for verdict in to_tell(judgement, facts):
        claim = facts[verdict.claim.id]
        place = "cannot" if claim["cannot_answer"] else PLACES[verdict.code]
        said = claim["contrary" if place == "against" else "clause"]
        if backed_though_small(verdict):
            known_ = {"clause": said, "small": True}
            said = teller.fragment(["answer.small"], known_, about="answer")
        clauses[place].append(said)
        by[place].append(verdict)
    # How many is said beside what stands first, and so of that alone.
    first = next((by[p] for p in ("backed", "leans", "against", "cannot") if by[p]), [])
    known = counted(judgement.study, known, first)
    joined: Facts = {
        place: listed(each, "or" if place in ("cannot", "untested") else "and")
        for place, each in clauses.items()
    }
    for place in ("backed", "leans", "against"):
        joined[place] = listed(clauses[place], "and that" if place == "leans" else "and")
    against = (v.claim for v in to_tell(judgement, facts) if v.code == "against")
    joined["against_whom"] = contrary_to(against)
    return teller.tell(["answer"], {**known, **joined}, about="answer")


def brief(teller: Teller, verdict: Verdict, facts: Facts, stream: str) -> str:
    """One claim in one breath."""
    finer = verdict.reasons if verdict.code == "not-tested" else ()
    if backed_though_small(verdict):
        finer = ("real-but-small",)
    kind = () if len(verdict.parts) > 1 else (verdict.test.kind,)  # one kind would speak for both
    names = [f"brief.{verdict.code}.{sub}" for sub in (*finer, *kind)]
    names.append(f"brief.{verdict.code}")
    return teller.tell(names, facts, about=f"{stream}/{verdict.claim.id}", stream=stream)


def short(
    teller: Teller, judgement: Judgement, known: Facts, facts: Mapping[str, Facts],
    claims: Mapping[str, ClaimWords],
) -> tuple[str, ...]:  # fmt: skip
    """The 30-second version: who was tested, the key claims, and what is missing."""
    opening = teller.tell(["short.opening"], known, about="short")
    key = to_tell(judgement, facts)
    others = [v for v in judgement.verdicts if v not in key]
    rest = [brief(teller, v, facts[v.claim.id], "short") for v in others]
    closing = teller.tell(["short.closing"], known, about="short")
    opening = " ".join([opening, *_of_others(teller, judgement, known, key)])
    room = _rate(judgement) / 2
    findings = _tersely(teller, key, facts, room - said_words(opening) - said_words(closing))
    said = [
        Clause(1, opening, paragraph=0),
        *(Clause(1, text) for text in findings),
        *(Clause(3, text) for text in _to_settle(teller, known, facts, claims, key, findings)),
        *(Clause(6, text) for text in rest),
        *(Clause(4, text) for text in too_close(teller, judgement)),
        *(Clause(5, text) for text in _weak_link(teller, judgement, known, facts)),
        Clause(1, closing),
    ]
    return fitted(said, room)


def _tersely(
    teller: Teller, key: Sequence[Verdict], facts: Mapping[str, Facts], room: float
) -> list[str]:
    """Every key claim in one breath; where that is too long, what is backed or leans
    without its number."""
    said = [brief(teller, v, facts[v.claim.id], "short") for v in key]
    for i in sorted(range(len(key)), reverse=True):
        if said_words(" ".join(said)) > room and key[i].code in ("backed", "leans"):
            guess = "" if key[i].code == "backed" else "It looks as if "
            said[i] = sentence(f"{guess}{facts[key[i].claim.id]['clause']}.")
    return said


def _to_settle(
    teller: Teller, known: Facts, facts: Mapping[str, Facts], claims: Mapping[str, ClaimWords],
    key: Sequence[Verdict], findings: Sequence[str],
) -> list[str]:  # fmt: skip
    """What would settle the first key claim that is open; the claim is named unless just told."""
    open_ = next((v for v in key if v.code in ("cannot-tell", "leans")), None)
    if open_ is None or not claims[open_.claim.id].settle:
        return []
    clause = facts[open_.claim.id]["clause"]
    more = {**known, "settle": claims[open_.claim.id].settle, "clause": clause}
    just_told = open_ is key[-1] and clause.casefold() in findings[-1].casefold()
    name = "short.closing.settle.that" if just_told else "short.closing.settle"
    return [teller.tell([name], more, about="short")]


def _weak_link(
    teller: Teller, judgement: Judgement, known: Facts, facts: Mapping[str, Facts]
) -> list[str]:
    """Which of the reasons for the rule is the weakest, where one is weak."""
    made = judgement.chain
    if made is None or made.code == "backed":
        return []
    weak = teller.fragment([f"weak.{made.code}"], {**known, **facts[made.weakest]}, about="short")
    more = {**known, **facts[made.weakest], **_weakest(judgement), "weak": weak}
    name = "short.closing.chain.one" if len(made.links) == 1 else "short.closing.chain"
    return [teller.tell([name], more, about="short")]


def long(
    teller: Teller, judgement: Judgement, known: Facts, facts: Mapping[str, Facts],
    claims: Mapping[str, ClaimWords], said_chain: str, asked: Sequence[tuple[str, str, str]],
) -> tuple[str, ...]:  # fmt: skip
    """The two-minute version: each paragraph one step, the least needful left out."""

    def tell(name: str, **more: str) -> str:
        return teller.tell([name], {**known, **more}, about="long")

    key = to_tell(judgement, facts)
    others = [v for v in judgement.verdicts if v not in key and not facts[v.claim.id]["mirrored"]]
    full = [
        claims[v.claim.id].says if v.parts else found(teller, v, facts[v.claim.id], "long")
        for v in key
    ]
    rest = [brief(teller, v, facts[v.claim.id], "long") for v in others]
    # A hint at others is what is found of items in general, of more than a few of them, and not
    # where anything is found that is about these alone.
    found_so = [v for v in judgement.verdicts if v.code not in UNANSWERED]
    wide = all(kind_of(v).general and v.n_items > FEW and not v.detail.one_item for v in found_so)
    hinted = listed([plural_of(item) for item in _rested_on(judgement.study, known, found_so)]
                    if wide else [])
    kinds = {v.test.kind for v in judgement.verdicts}
    levels = {"association", "tracks-within"} <= kinds
    open_ = next(
        (v.claim.id for v in key
         if v.code in ("cannot-tell", "leans") and claims[v.claim.id].settle), None,
    )  # fmt: skip
    settle = {} if open_ is None else {
        "settle": claims[open_].settle, "clause": facts[open_]["clause"],
    }  # fmt: skip
    more_asked = count_words(len(asked)).capitalize() if len(asked) > 1 else ""
    said = [
        Clause(1, tell("long.opening"), paragraph=0),
        *(Clause(1, text, paragraph=0) for text in _of_others(teller, judgement, known, key)),
        Clause(4, tell("long.counts") if known["n_shots"] else "", paragraph=0),
        *(
            piece
            for v, text in zip(key, full, strict=True)
            for piece in (
                Clause(1, text, paragraph=1),
                *(Clause(6, why, paragraph=1) for why in claims[v.claim.id].because[:1]),
            )
        ),
        *(Clause(7, text, paragraph=2) for text in rest),
        Clause(2, tell("long.levels") if levels else "", paragraph=3),
        Clause(3, tell("long.settle", **settle) if settle else "", paragraph=4),
        *(Clause(5, text, paragraph=4) for text in too_close(teller, judgement)),
        Clause(
            2, said_chain, paragraph=4, brief="".join(_weak_link(teller, judgement, known, facts))
        ),
        Clause(6, tell("long.open", asks=asked[0][0], more_asked=more_asked)
               if asked and not said_chain else "", 4),
        Clause(1, tell("long.closing", hints=hinted), paragraph=4),
    ]
    return fitted(said, 2 * _rate(judgement))


def _of_others(
    teller: Teller, judgement: Judgement, known: Facts, told: Sequence[Verdict]
) -> list[str]:
    """Who was measured besides those who were just counted, before any claim is told that rests on
    some of them: to name these alone would say that they were all."""
    study = judgement.study
    ours = set(main_tables(study)[0].items)
    more = [t for t in other_tables(study) if not ours.issuperset(t.items)]
    rested = [t for t in more if _rests_on(t, told, study)]
    apart = any(ours.isdisjoint(t.items) for t in rested)
    said = (_also(teller, judgement, known, t) for t in more
            if t in rested or (apart and ours.isdisjoint(t.items)))  # fmt: skip
    return list(filter(None, said))


def _rests_on(table: Table, told: Sequence[Verdict], study: Study) -> bool:
    """Whether some of these verdicts goes by the items of that table, in it or in another one."""
    used = {v.table for v in told if v.n_items}
    return any(set(study.tables[name].items) == set(table.items)
               for name in used if name in study.tables)  # fmt: skip


def _rate(judgement: Judgement) -> int:
    """Words a minute, as the workspace's script is spoken."""
    return judgement.study.workspace.settings.speaking_rate


def tested(teller: Teller, judgement: Judgement, known: Facts) -> str:
    """Who was tested, when, for what, and why shots do not count."""
    study = judgement.study
    said = [teller.tell(["tested.main"], known, about="tested"), reach(teller, judgement)]
    also = (_also(teller, judgement, known, table) for table in other_tables(study))
    said += filter(None, also)
    averages = [t for t in study.tables.values() if t.mean_of is not None]
    if averages and averages != main_tables(study):
        names = listed(list(dict.fromkeys(study.term(m) for t in averages for m in t.measures)))
        source = listed(list(dict.fromkeys(t.source or t.name for t in averages)))
        more = {**known, "measures": names, "source": source}
        said.append(teller.tell(["tested.averages"], more, about="averages"))
    return " ".join(filter(None, said))


def _also(teller: Teller, judgement: Judgement, known: Facts, table: Table) -> str:
    """Who else was measured, in a table beside the main one, or counted there for a verdict; empty
    where a figure tells it."""
    study = judgement.study
    main = main_tables(study)[0]
    both = len(set(main.items) & set(table.items))
    within = both == len(table.items)
    other = table.item != main.item  # who bowled, where balls were tested
    counted = other and not table.measures and _rests_on(table, judgement.verdicts, study)
    if not table.measures and (within or other) and not counted:
        return ""
    more = {**known, **table_facts(study, [table]), "of_all": known["balls"], "both": both,
            "source": table.source or table.file}  # fmt: skip
    name = "apart" if counted else "some" if within else "named" if not table.measures \
        else "partly" if both else "also"  # fmt: skip
    return teller.tell([f"tested.{name}"], more, about=table.name, stream="tested")


def reach(teller: Teller, judgement: Judgement) -> str:
    """How far the readings go, in the listener's units; empty where the study gives none."""
    far = reach_of(judgement.study)
    if far is None:
        return ""
    known = {"uses": far.uses, "reached": far.reached, "short_of": far.short_of}
    return teller.tell(["reach"], known, about="reach")


def chain(
    teller: Teller, judgement: Judgement, known: Facts, facts: Mapping[str, Facts],
    claims: Mapping[str, ClaimWords],
) -> str:  # fmt: skip
    """The reasons given for the rule, and how far the weakest carries."""
    made = judgement.chain
    if made is None:
        return ""
    verdict = judgement.verdict(made.weakest)
    more = {
        **_weakest(judgement), "label": claims[made.weakest].label.lower(),
        "testable": testable(verdict),
    }  # fmt: skip
    names = ["chain.one"] if len(made.links) == 1 else [f"chain.{made.code}"]
    mixed = {**facts[made.weakest], **more, "balls": known["balls"]}
    return teller.tell(names, mixed, about="chain")


def too_close(teller: Teller, judgement: Judgement) -> list[str]:
    """Which readings the rule's gauge cannot call, where that is known."""
    zone = judgement.rule_zone
    if zone is None or not zone.guard:
        return []
    return [teller.tell(["zone.brief"], zone_facts(judgement, zone), about="zone")]


def _weakest(judgement: Judgement) -> Facts:
    """How many reasons there are for the rule, and the place of the weakest."""
    links = judgement.chain.links if judgement.chain is not None else ()
    place = next((i for i, link in enumerate(links, 1) if link.weakest), 0)
    return {"count": count_words(len(links)), "place": ordinal(place)}


def questions(
    teller: Teller, judgement: Judgement, known: Facts, facts: Mapping[str, Facts],
    claims: Mapping[str, ClaimWords],
) -> tuple[tuple[tuple[str, str, str], str], ...]:  # fmt: skip
    """(the question, why it is open, what would settle it) and its claim, each question once.

    Once, too, where the author (whose questions come first) asks ours in other small words.
    """
    found: dict[frozenset[str], tuple[tuple[str, str, str], str]] = {}
    for question in judgement.questions:
        said = _question(teller, judgement, question, facts, claims)
        content = frozenset(re.findall(r"\w+", said[0].casefold())) - _SMALL
        found.setdefault(content, (said, question.claim or ""))
    return tuple(found.values())


def _question(
    teller: Teller, judgement: Judgement, question: OpenQuestion,
    facts: Mapping[str, Facts], claims: Mapping[str, ClaimWords],
) -> tuple[str, str, str]:  # fmt: skip
    if question.ask is not None:
        settled = fill(question.settled_by or "", judgement)
        return fill(question.ask, judgement), "", stopped(sentence(settled))
    claim = question.claim or ""
    known, verdict = facts[claim], judgement.verdict(claim)
    kind, source = verdict.test.kind, question.source
    if kind == "not-testable":
        return f"“{sentence(claims[claim].plainly)}” Is that so?", claims[claim].says, ""
    if source not in ("cannot-tell", "beyond-data") and teller.has(f"settle.{source}"):
        names = [f"settle.{source}.{kind}", f"settle.{source}"]
        settled = teller.tell(names, with_would(teller, verdict, known), about=claim)
    else:
        settled = claims[claim].settle
    ask = teller.tell([f"question.{source}.{kind}", f"question.{source}"], known, about=claim)
    why = teller.tell([f"why.{source}.{kind}", f"why.{source}"], known, about=claim, stream="whys")
    return ask, why, settled


def _reckoned(
    facts: Mapping[str, Facts], claims: Mapping[str, ClaimWords],
    open_: Sequence[tuple[tuple[str, str, str], str]],
) -> set[str]:  # fmt: skip
    """The claims of which it is said how many items they would take, by id."""
    told = [*((c.settle, id) for id, c in claims.items()), *((q[2], id) for q, id in open_ if id)]
    return {id for said, id in told if (needed := facts[id]["needed"])
            and re.search(rf"(?<![\d.,]){re.escape(str(needed))}\b", said)}  # fmt: skip


def several(teller: Teller, judgement: Judgement, known: Facts, reckoned: Collection[str]) -> str:
    """How many claims were tested at once, and how many survive the correction.

    ``reckoned``: the claims of which it is said how many items they would take.
    """
    parts = [p for v in judgement.verdicts for p in v.each if _after(p) is not None]
    alpha = judgement.thresholds.get("holm_alpha", 0.05)
    passing = sum(_finds(p, alpha) for p in parts)
    contrary = sum((_after(p) or 0.0) < alpha for p in parts) - passing
    numbers = _places(judgement, [v.claim.id for v in judgement.verdicts
                                  if any(_after(p) is not None for p in v.each)])
    stopped = _places(judgement, [v.claim.id for v in judgement.verdicts
                                  if v.code not in ("backed", "against")
                                  and any(_finds(p, alpha) for p in v.each)])
    more = {
        **known, "m": len(parts), "k": passing, "one_troubled": len(stopped) == 1,
        "troubled": _numbered(stopped) if stopped else "", "which": _numbered(numbers),
        "held": len(numbers), "counted": any(p.claim.id in reckoned for p in parts),
        "contrary": contrary, "contrary_words": count_words(contrary),
        "m_words": count_words(len(parts)), "k_words": count_words(passing),
    }  # fmt: skip
    name = "several" if len(parts) > 1 else "several.one"
    said = teller.tell([name], more, about="several")
    return f"{said} {_by_luck(teller, judgement, known)}".strip()


def _finds(v: Verdict, alpha: float) -> bool:
    """Whether a part of a claim is shown by its p, after the correction, the way it is claimed."""
    after = _after(v)
    return after is not None and after < alpha and not falls_short(v)


def _after(v: Verdict) -> float | None:
    """The p that a verdict rests on, after the correction; None outside the family."""
    return v.p_holm if v.detail.p_after is None else v.detail.p_after


def voices(teller: Teller, judgement: Judgement) -> str:
    """Whose claims stand beside the report's own and do not count for it; empty without any."""
    others = [v for v in judgement.verdicts if not v.claim.of_report]
    if not others:
        return ""
    counted = Counter(speaker_of(v.claim.said_by).by for v in in_voices(others))
    each = listed([f"{count_words(n)} {by}" for by, n in counted.items()])
    known = {
        "n": len(others), "count": count_words(len(others)), "each": each,
        "own": len(of_report(judgement.verdicts)), "one_voice": len(counted) == 1,
        "by": next(iter(counted)),
    }  # fmt: skip
    return teller.tell(["voices"], known, about="voices")


def _by_luck(teller: Teller, judgement: Judgement, known: Facts) -> str:
    """What luck alone could make of the claims that are judged alone, said once.

    Nobody can picture a tenth of a claim, so less than one is told of a hundred such studies, in
    how many of which at most one or more claims would; more, as how many claims on average.
    """
    luck = judgement.luck
    if luck.judged < 2:
        return ""
    more: Facts = {
        **known, "alone": luck.alone, "alone_words": count_words(luck.alone), "judged": luck.judged,
        "alone_held": len(luck.alone_of),
        "alone_which": _numbered(_places(judgement, luck.alone_of)) if luck.alone_of else "",
        "gauges": any(p.test.kind == "repeatability" and p.low is not None
                      for v in judgement.verdicts for p in v.each),
        "judged_which": _numbered(_places(judgement, luck.judged_of)),
    }
    for name, expected in (("backed", luck.backed), ("leaning", luck.leaning)):
        more |= {f"{name}_each": _at_most(expected) if expected >= 1 else 0,
                 f"{name}_hundred": _at_most(100 * expected)}  # fmt: skip
    return teller.tell(["luck"], more, about="several")


def _at_most(value: float) -> int:
    """The whole number that ``value`` does not pass, rounding of its sum aside."""
    return math.ceil(value - 1e-9)


def _places(judgement: Judgement, claims: Collection[str]) -> list[str]:
    """Where on the page these claims stand, as their numbers."""
    return [str(n) for n, v in enumerate(in_voices(judgement.verdicts), start=1)
            if v.claim.id in claims]  # fmt: skip


def _numbered(places: Sequence[str]) -> str:
    """``number 3``, ``numbers 1 and 5 to 8``: claims by their places on the page, in order."""
    told: list[str] = []
    for _, run in groupby(enumerate(map(int, places)), lambda at: at[1] - at[0]):
        row = [str(place) for _, place in run]
        told += [f"{row[0]} to {row[-1]}"] if len(row) > 2 else row
    return f"{'number' if len(places) == 1 else 'numbers'} {listed(told)}"
