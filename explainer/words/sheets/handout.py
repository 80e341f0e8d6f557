"""The handout in words: what a noticeboard has room for, from the same sentences as the page.

The front is a poster: the answer in a few words, a mark for each claim, one figure, one thing to
do.  The back, where the workspace wants one, holds the words, what nobody knows, and how it was
worked out.  Nothing is judged or worked out here.  What to show is chosen by rules that anybody can
check: the figure is that of the claim known best among those the question turns on.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field

from explainer.claims.kinds import testable
from explainer.claims.rules import strongest_backed
from explainer.claims.verdict import STRENGTH, UNANSWERED, Code, Judgement, Verdict
from explainer.words.facts.relations import relations, shaky
from explainer.words.facts.study import study_facts
from explainer.words.glossary.entries import Entry, Glossary
from explainer.words.glossary.entry import key, plural
from explainer.words.glossary.linker import TermLinker, finder_for
from explainer.words.page.cautions import Cautions, cautions
from explainer.words.page.claims import breath
from explainer.words.page.headline import briefly, scope
from explainer.words.page.prose import asides, fill, short_name
from explainer.words.page.study import brief, key_verdicts, too_close
from explainer.words.phrases.book import teller_for
from explainer.words.phrases.renderer import Teller
from explainer.words.quantity.numbers import count_words
from explainer.words.quantity.when import day_words
from explainer.words.said import AsideWords, EditionWords, FigureWords, StudyWords
from explainer.words.say import in_first_units, say
from explainer.words.speakers import in_voices, of_report, saying

# The poster's answer: what the question asks, in words that carry a few steps.
# Nothing is judged here. The answer speaks of the claims that the study's question turns on and
# of no other; where none of them is settled either way, it says that it cannot be answered,
# whatever else was found.

#: Claims that get a row; the others are counted.
ROWS = 6


@dataclass(frozen=True)
class Marked:
    """A claim with its verdict, as a row."""

    claim: str
    code: Code
    label: str
    plainly: str
    estimate: str
    """Its number with the range, where the question turns on it; else empty."""
    saying: str = ""
    """Who says it, where that is not the report: ``At the lanes people say``."""


@dataclass(frozen=True)
class Counted:
    """How many claims got one verdict."""

    code: Code
    n: int
    says: str
    label: str


@dataclass(frozen=True)
class PosterWords:
    """The answer at arm's length and beyond, and what stands right below it."""

    answers: tuple[str, ...]
    """The same answer, longest first: the first that fits is set."""
    scope: str
    """How far it carries: going by how many items."""
    rows: tuple[Marked, ...]
    """Claims with their marks; those that the question turns on come first."""
    counts: tuple[Counted, ...]
    """How many of the report's claims got which verdict, best known first; none where none did."""
    asked: int
    """How many of the rows the question turns on."""


def poster_words(teller: Teller, judgement: Judgement, words: StudyWords) -> PosterWords:
    """The front of the sheet.  Raises as ``say`` does."""
    asked = asked_verdicts(judgement)
    rest = in_order(judgement, asked)
    codes = Counter(v.code for v in of_report(judgement.verdicts))
    return PosterWords(
        answers=_answers(teller, judgement, asked),
        scope=scope(teller, judgement, asked),
        rows=tuple(
            _row(v, words, v in asked) for v in (*asked, *rest)[:max(ROWS, len(asked))]
        ),
        counts=tuple(
            Counted(
                code, codes[code],
                teller.fragment([f"poster.count.{code}"], {"n": codes[code]}, about="poster"),
                teller.fragment([f"label.{code}"], {}, about="poster"),
            )
            for code in reversed(STRENGTH) if codes[code]
        ),
        asked=len(asked),
    )  # fmt: skip


def asked_verdicts(judgement: Judgement) -> list[Verdict]:
    """The claims the study's question turns on: those that the page's answer is built from."""
    return key_verdicts(judgement)


def in_order(judgement: Judgement, told: list[Verdict]) -> list[Verdict]:
    """The other claims: the one the data back most clearly, the report's key findings, its others
    that were tested, then what was not tested, and what others say, voice by voice."""
    best = strongest_backed(judgement.verdicts)
    rest = [v for v in in_voices(judgement.verdicts) if v not in told]
    return sorted(
        rest, key=lambda v: (
            v is not best, not v.claim.is_key, not v.claim.of_report, not testable(v)
        )
    )


def _row(verdict: Verdict, words: StudyWords, asked: bool) -> Marked:
    said = words.claims[verdict.claim.id]
    number = said.estimate if asked else ""
    spoken = "" if verdict.claim.of_report else saying(verdict.claim)
    return Marked(verdict.claim.id, verdict.code, said.label, said.plainly, number, spoken)


def _answers(teller: Teller, judgement: Judgement, asked: list[Verdict]) -> tuple[str, ...]:
    """From all heads with full words to a bare count; all of them true, each shorter."""

    def tell(name: str, **facts: object) -> str:
        return teller.fragment([name], facts, about="poster")

    if not asked or all(v.code in UNANSWERED for v in asked):
        # The question's own words first: "that" alone needs the smaller line above it.
        heads = [short_name(v, judgement) for v in asked]
        names = " ".join(f"{head.rstrip('?')}?" for head in heads) if all(heads) else ""
        tries = (("", names), ("", ""), (".short", ""))
        return tuple(dict.fromkeys(
            tell(f"poster.cannot{size}", all_open=True, names=said) for size, said in tries
        ))  # fmt: skip
    briefs = (briefly(teller, judgement, asked, size) for size in (".own", "", ".short"))
    made = list(dict.fromkeys(filter(None, briefs)))
    codes = Counter(v.code for v in asked)
    # Against may also mean too little, or that something moved which was said to hold still.
    turned = all(relations(p)["other_way"] for v in asked if v.code == "against"
                 for p in v.each if p.code == "against")  # fmt: skip
    said = [
        tell(f"poster.of.{code}", n=codes[code], count=count_words(codes[code]), m=len(asked),
             turned=turned)
        for code in reversed(STRENGTH) if codes[code]
    ]  # fmt: skip
    return (*made, " ".join(said))


AUDIENCE = "league"
THINGS, TERMS, QUESTIONS = 3, 5, 4
#: Topics of the glossary that bowlers talk in every night: no sheet explains their words.
EVERY_NIGHT = frozenset(("ball", "lane", "motion", "oil-and-surface", "pins-and-scoring"))
#: But what a gauge reads off a ball is explained where the study measured it.
READ_OFF = "ball"
#: How well a verdict is known, best first: for or against, then on the way, then open.
KNOWN_BEST: tuple[Code, ...] = ("backed", "against", "leans", "cannot-tell", "not-tested")

_FIRST = re.compile(r".+?[.!?](?=\s|$)", re.DOTALL)


@dataclass(frozen=True)
class Told:
    """A claim as the sheet tells it."""

    claim: str
    code: Code
    plainly: str
    label: str
    says: str
    brief: str
    """The same in one breath, where room is short."""
    saying: str = "The claim"
    """Who says it, before it."""


@dataclass(frozen=True)
class Asked:
    """What nobody knows yet."""

    ask: str
    settled_by: str


@dataclass(frozen=True)
class Term:
    """A word explained: in full, and in its first sentence."""

    term: str
    shown: str
    """The word as it stands on the sheet, where it goes by another name there."""
    explained: str
    short: str


@dataclass(frozen=True)
class HandoutWords:
    """Everything the handout says."""

    title: str
    question: str
    poster: PosterWords
    answer: str
    tested: str
    """Who or what was tested, in the author's words; empty where there are none."""
    rule: str
    """What the rule asks and from when; empty without a rule."""
    figure: str
    """Id of the one figure; empty where there is none."""
    figure_words: FigureWords | None
    things_heading: str
    things: tuple[Told, ...]
    not_told: tuple[str, ...]
    """Ids of key claims that do not stand among the things."""
    questions: tuple[Asked, ...]
    advice_md: tuple[str, ...]
    caution: Cautions | None
    terms: tuple[Term, ...]
    limits: str
    source: str
    more: str
    notice: str
    """At the head of a sheet about made-up data, or of a draft; empty otherwise."""
    foot: str = ""
    """The same at the foot of every other side, short enough for one line of large print."""
    more_questions: str = ""
    """How many questions more are open; empty where all are on the sheet."""
    edition: EditionWords = field(default_factory=EditionWords)
    more_rows: tuple[str, ...] = ()
    """What to say where this many claims (the index) have no row of their own."""
    earlier: tuple[str, ...] = ()
    """The same of corrections."""
    counted: str = ""
    """How many claims there are, before they are counted by verdict."""
    total: int = 0
    corrected: int = 0
    """How many claims and how many corrections there are, on the sheet or not."""
    voices: str = ""
    """How many claims are not the report's own, and whose; empty where all are."""
    walk: tuple[str, ...] = ()
    """Item by item along the figure, where the author asks for that; for the back."""
    asides: tuple[AsideWords, ...] = ()
    """The author's comparisons, guesses and opinions of the study, the figure and what is told."""
    worked_out: tuple[str, ...] = ()
    """How it was worked out: who was tested and what counts, then how each thing was found."""


def say_handout(judgement: Judgement, glossary: Glossary) -> HandoutWords:
    """The sheet for a league.  Raises as ``say`` does."""
    study = judgement.study
    teller = teller_for(judgement, AUDIENCE)
    words = say(judgement, AUDIENCE)
    known = study_facts(judgement)
    source, more, notice, foot = study_source(teller, judgement)
    told = told_claims(judgement)
    things = tuple(_thing(teller, judgement, v, words) for v in told)
    own = of_report(judgement.verdicts)
    figure = best_figure(judgement)
    advice = tuple(fill(a.do, judgement) for a in study.description.advice)
    said = [words.answer, *_figure_texts(words, figure), *(t.says for t in things), *advice]
    made = HandoutWords(
        title=study.description.title,
        question=study.description.question.strip(),
        poster=poster_words(teller, judgement, words),
        answer=words.answer,
        tested=known["described"],
        rule=_rule(teller, judgement),
        figure=figure,
        figure_words=words.figures[figure] if figure else None,
        things_heading=_tell(teller, "handout.things", {"count": count_words(len(things))}),
        things=things,
        not_told=tuple(v.claim.id for v in judgement.verdicts if v.claim.is_key and v not in told),
        questions=_asked(words),
        advice_md=advice,
        caution=cautions(judgement, teller),
        terms=tuple(_term(e, said) for e in terms_for(judgement, glossary, said)),
        limits=_tell(teller, "handout.limits", known),
        source=source,
        more=more,
        notice=notice,
        foot=foot,
        more_questions=_more_asked(teller, judgement, words),
        edition=words.edition,
        more_rows=_numbered(teller, judgement, "poster.more-rows", len(judgement.verdicts)),
        earlier=_numbered(teller, judgement, "handout.earlier", len(words.edition.corrections)),
        counted=_tell(teller, "poster.rows", {"n": len(own), "count": count_words(len(own)),
                                              "others": len(own) < len(judgement.verdicts)}),
        voices=words.voices,
        total=len(judgement.verdicts),
        corrected=len(words.edition.corrections),
        walk=words.figures[figure].walk if figure else (),
        asides=_asides(judgement, figure, told),
        worked_out=_worked_out(words, things),
    )
    return in_first_units(judgement, made)


def study_source(teller: Teller, judgement: Judgement) -> tuple[str, str, str, str]:
    """What every sheet says of itself: the report, where the rest is, and that its data are made
    up or its study is a draft, in full and for the foot of a side."""
    study = judgement.study
    report, base = study.description.report, has_page(judgement)
    known = {**study_facts(judgement), "base": base}
    printed: dict[str, object] = {
        "title": report.title, "publisher": report.publisher or "",
        "date": day_words(report.date), "pages": report.pages,
    } if report else {}  # fmt: skip
    return (
        _tell(teller, "handout.source" if report else "handout.source.none", {**known, **printed}),
        _tell(teller, "handout.more", known) if base else "",
        " ".join(
            _tell(teller, name, known) for name, said in
            (("unconfirmed", known["unconfirmed"]), ("handout.notice", known["invented"])) if said
        ),
        _tell(teller, "handout.foot", known)
        if known["unconfirmed"] or known["invented"] else "",
    )


def has_page(judgement: Judgement) -> bool:
    """Whether the study's page has an address, so that paper can point to it."""
    return bool(judgement.study.workspace.settings.base_address)


def told_claims(judgement: Judgement) -> list[Verdict]:
    """At most three: what the question turns on, then key findings, then others, in order."""
    key = asked_verdicts(judgement)
    return [*key, *in_order(judgement, key)][:THINGS]


def best_figure(judgement: Judgement) -> str:
    """The figure of the claim known best (first of equals), else of any claim, else the first.

    First come the claims that the question turns on.  Known best: backed or against before
    leaning, before "can't tell", before not tested.
    """
    key = asked_verdicts(judgement)
    for claims in (key, [v for v in judgement.verdicts if v not in key]):
        for verdict in sorted(claims, key=lambda v: KNOWN_BEST.index(v.code)):
            own = verdict.claim.figure or ""
            shown = [f.figure.id for f in judgement.figures if verdict.claim.id in f.claims]
            if own in shown or shown:
                return own if own in shown else shown[0]
    return judgement.figures[0].figure.id if judgement.figures else ""


def terms_for(judgement: Judgement, glossary: Glossary, said: list[str]) -> list[Entry]:
    """The five words to explain: what was measured first, then others as the sheet uses them.

    None that bowlers use every night, but for what the study's gauges read off a ball.
    """
    linker = TermLinker(glossary, lambda entry: None)
    for text in said:
        linker.section()
        linker.sentence(text)
    measured = [
        entry
        for name in judgement.study.description.measures
        if (entry := glossary.find(judgement.study.term(name))) is not None
    ]
    used = [e for e in measured if e in linker.used]
    found = [*used, *(e for e in linker.used if e not in used)]
    told = [e for e in found if e.topic not in EVERY_NIGHT or (e in used and e.topic == READ_OFF)]
    return told[:TERMS]


def _rule(teller: Teller, judgement: Judgement) -> str:
    rule = judgement.study.description.rule
    if rule is None:
        return ""
    facts: dict[str, object] = {
        "change": fill(rule.change, judgement), "date": day_words(rule.in_force),
        "close": " ".join(too_close(teller, judgement)),
    }  # fmt: skip
    return _tell(teller, "handout.rule", facts)


def _thing(teller: Teller, judgement: Judgement, verdict: Verdict, words: StudyWords) -> Told:
    said = words.claims[verdict.claim.id]
    return Told(
        claim=verdict.claim.id,
        code=verdict.code,
        plainly=said.plainly,
        label=_tell(teller, "handout.verdict", {"label": said.label}),
        says=" ".join([said.says, *(said.because[:1] if shaky(verdict) else ())]),
        brief=brief(teller, verdict, breath(teller, judgement, verdict, said.plainly), "handout"),
        saying="The claim" if verdict.claim.of_report else saying(verdict.claim),
    )


def _asides(judgement: Judgement, figure: str, told: list[Verdict]) -> tuple[AsideWords, ...]:
    """Of the study, of the figure on the sheet, and of the claims that are told there, in turn."""
    drawn = [judgement.figure(figure).figure] if figure else []
    said = (judgement.study.description, *drawn, *(v.claim for v in told))
    return tuple(aside for one in said for aside in asides(one, judgement))


def _asked(words: StudyWords) -> tuple[Asked, ...]:
    """The first few: the author's own come first, and the page has them all."""
    return tuple(Asked(ask, settled) for ask, _, settled in words.questions[:QUESTIONS])


def _more_asked(teller: Teller, judgement: Judgement, words: StudyWords) -> str:
    more = len(words.questions) - QUESTIONS
    return _numbered(teller, judgement, "handout.more-questions", max(0, more))[-1]


def _numbered(teller: Teller, judgement: Judgement, name: str, most: int) -> tuple[str, ...]:
    """A sentence for each number of things up to ``most``, by that number; none for none."""
    base = has_page(judgement)
    facts = ({"count": count_words(n), "n": n, "base": base} for n in range(1, most + 1))
    return ("", *(_tell(teller, name, known) for known in facts))


def _worked_out(words: StudyWords, things: tuple[Told, ...]) -> tuple[str, ...]:
    """Who was tested and what counts as one; then how the claims told were tested, each once."""
    methods = (words.claims[thing.claim].method for thing in things)
    return tuple(dict.fromkeys(filter(None, (words.tested, *methods))))


def _figure_texts(words: StudyWords, figure: str) -> Iterator[str]:
    if figure:
        said = words.figures[figure]
        yield from (said.how_to_read, said.cannot_show)


def _term(entry: Entry, said: list[str]) -> Term:
    first = _FIRST.match(entry.explained)
    short = first[0] if first else entry.explained
    finder = finder_for(Glossary((entry,)))
    used = [text[hit.start : hit.end] for text in said for hit in finder.find(text)]
    own = {key(entry.term), key(plural(entry.term))}
    shown = used[0] if used and not own & {key(word) for word in used} else entry.term
    return Term(entry.term, shown, entry.explained, short)


def _tell(teller: Teller, name: str, facts: dict[str, object]) -> str:
    return teller.tell([name], facts, about=name)
