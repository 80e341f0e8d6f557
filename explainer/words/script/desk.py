"""What every part of a talk is written from: phrases, the words of a study, and what was said."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Any

from markdown_it import MarkdownIt

from explainer.claims.verdict import Judgement, Verdict
from explainer.words.facts.heard import heard_facts
from explainer.words.facts.study import study_facts
from explainer.words.glossary.linker import no_word_lost
from explainer.words.page.claims import breath
from explainer.words.page.study import counted, key_verdicts
from explainer.words.phrases.renderer import Phrase, Teller, sentence
from explainer.words.quantity.everyday import load_everyday
from explainer.words.quantity.heard import in_words
from explainer.words.quantity.spoken import said_words
from explainer.words.said import StudyWords
from explainer.words.script.measure import (
    MOST_ALIKE,
    MOST_WORDS,
    in_breaths,
    last,
    same_words,
    split,
)
from explainer.words.script.talk import Card, Line, Part, Screen, Shot, Talk
from explainer.words.speakers import saying

Facts = dict[str, Any]

#: What each rank holds; the last goes first.
RANKS: Mapping[int, str] = {
    1: "The question, that the data are made up, who was tested, and the answer with its limit",
    2: "The reveal and the twist, each with the picture it is seen on",
    3: "Why it matters, what to do, and the caution that belongs with it",
    4: "The guess before the reveal, what nobody knows first of all, and the one request",
    5: "How far the rule’s reasons carry, and what else the question turns on",
    6: "The report’s own words, and yours",
    7: "The other figures and claims, and what else nobody knows",
    8: "What the axes are, how to read a figure, its notes, and the links of the chain",
    9: "More on why not more can be said, what a figure cannot show, and places to react",
}
ALWAYS, TURN, NIGHT, GUESS, KEY, OWN, OTHER, READING, LIMITS = RANKS

MOST_QUESTIONS, MOST_ROWS = 4, 5

_METRIC = re.compile(r"\s\((?:about )?[−\d.,]+(?: to [−\d.,]+)? (?:µm|mm|cm|m|km/h|kg|g|°C)\)")
_CHANCES = re.compile(r"\s\([^()]*\bp [=<>≤≥][^()]*\)")
_ASIDE = re.compile(r"\s\(to (picture that: [^()]*)\)\.?")
#: A quotation that nobody could follow by ear.
_FIGURES = re.compile(r"\.\d++\D++[\d+−-]*+\.\d+\D")
_MARK = re.compile(r"\[\[([^\[\]=\n]+?)(?<!\s)\s*(?:=[^\[\]\n]*)?\]\]")


class Desk:
    """What every part is written from, and what has been said so far."""

    def __init__(self, teller: Teller, judgement: Judgement, words: StudyWords) -> None:
        self.teller, self.judgement, self.words = teller, judgement, words
        self.facts: Facts = study_facts(judgement)
        self.key = {v.claim.id for v in key_verdicts(judgement)}
        self.things = load_everyday(judgement.study.workspace.template_folders)
        self.said: set[str] = set()
        """The claims that were spoken of."""
        self.shown: dict[str, None] = {}
        """The figures that were put up, in turn."""
        self.told: dict[str, tuple[str, int]] = {}
        """What was found in so many words -> the key and the rank of the line that says it."""
        self.means: dict[str, str] = {}
        """Measures that the study explains -> the part that explains them first."""
        self.kinds: dict[tuple[str, str, bool], str] = {}
        self.cards: dict[str, Card] = {}
        self.used: Counter[Phrase] = Counter()
        """How often each sentence of the phrase book was said."""
        invented = self.facts["invented"]
        self.made_up = self.tell("made-up", "made-up") if invented else ""
        self.made_up_brief = self.tell("made-up.brief", "made-up") if invented else ""
        self.made_up_short = self.tell("made-up.short", "made-up") if invented else ""
        self.lasts: set[str] = set()
        """What the page's own sentences that were said are made on."""
        self.reasons: set[str] = set()
        """Kinds of reason that were given, or are kept for the twist."""
        self.axes: dict[tuple[str, str], str] = {}
        """What runs across (or nothing) and up the side of a scatter -> the first part with it."""
        self._heard: dict[str, Facts] = {}

    def has(self, name: str) -> bool:
        return self.teller.has(f"script.{name}")

    def tell(self, name: str, about: str, *more: str, **facts: Any) -> str:
        """The thread of the talk: a phrase of ``script.``, in words that were said least."""
        return self.fresh([f"script.{n}" for n in (name, *more)], {**self.facts, **facts}, about)

    def spare(self, name: str, about: str, **facts: Any) -> str:
        """The same of what can be left out: empty where each of its sentences was said enough."""
        known = {**self.facts, **facts}
        every = self.teller.every([f"script.{name}"], known, about=about)
        worn = all(self.used[p] >= MOST_ALIKE for variants in every for p in variants)
        return "" if worn else self.tell(name, about, **facts)

    def hear(self, names: Iterable[str], verdict: Verdict) -> str:
        """A sentence of ``heard.`` about a verdict; empty where none of the names may speak."""
        names = [f"heard.{name}" for name in names]
        names = [name for name in names if self.teller.has(name)]
        return self.fresh(names, self.heard(verdict), verdict.claim.id) if names else ""

    def heard(self, verdict: Verdict) -> Facts:
        """What a spoken sentence about a verdict may use."""
        id = verdict.claim.id
        if id not in self._heard:
            known = breath(self.teller, self.judgement, verdict, self.words.claims[id].plainly)
            study = self.judgement.study
            self._heard[id] = {"mirrored": False, **known, **heard_facts(verdict, study, known)}
        return self._heard[id]

    def fresh(self, names: Iterable[str], facts: Facts, about: str) -> str:
        """The most particular phrase that may speak and was not said ``MOST_ALIKE`` times yet."""
        every = self.teller.every(names, facts, about=about)
        ranked = [
            ((self.used[p] >= MOST_ALIKE, self.used[p] if self.used[p] >= MOST_ALIKE else 0,
              n, self.used[p], i), p)
            for n, variants in enumerate(every) for i, p in enumerate(variants)
        ]  # fmt: skip
        for _, phrase in sorted(ranked, key=lambda e: e[0]):
            said = aloud(sentence(self.teller.filled(phrase, facts)))
            if said:
                self.used[phrase] += 1
                return said
        return ""

    def may(self, name: str, facts: Mapping[str, Any]) -> bool:
        return self.teller.may({**self.facts, **facts}, f"script.{name}")

    def spoken(self, text: str) -> str:
        """A page's sentences as a voice can say them: the ones too long for a breath stay on the
        page, unless there is no other or names in brackets make them so, with what leans on them;
        so do those whose two ends an ear takes for one."""
        sentences: list[str] = []
        short: list[str] = []
        gone = False
        for s in split(in_breaths(aloud(text))):
            if said_words(in_words(s)) > MOST_WORDS:
                s = _NAMES.sub("", s)
            heard = in_words(s)
            clear = not _NO_WAY.search(heard)
            gone = not clear or said_words(heard) > MOST_WORDS or (gone and bool(_LEANS.search(s)))
            sentences += [s] if clear else []
            short += [] if gone else [s]
        fresh = [s for s in short if not last(s) or last(s) not in self.lasts]
        self.lasts |= set(map(last, fresh))
        return " ".join(fresh or sentences[: not short])

    def fragment(self, *names: str, about: str, **facts: Any) -> str:
        asked = [f"script.{name}" for name in names]
        return self.teller.fragment(asked, {**self.facts, **facts}, about=about)

    def card(self, name: str, card: Card, *of: Verdict) -> str:
        """``of``: the claims it tells, which may rest on others than the study is about."""
        known = counted(self.judgement.study, self.facts, of)
        note = self.teller.fragment(["script.card.note"], known, about="card")
        self.cards[name] = replace(card, note=note)
        return f"card:{name}"


#: *Between about a third and about a third of an inch*: too close for words.
_NO_WAY = re.compile(
    r"\b(?:[Bb]etween|from|to|likely) ((?:[\w,-]+ ){1,5}?[\w-]+) (?:and|to) \1\b"
)
#: Names in brackets behind a count of them: (lane L1, lane L2 and lane L5).
_NAMES = re.compile(
    r" \((?:[a-z]+ )?[A-Z][\w.-]*(?:(?:, and |, | and )(?:[a-z]+ )?[A-Z][\w.-]*)*\)"
)
#: A sentence that says nothing without the one before it.
_LEANS = re.compile(r"^(?:That|It|Those|Both) |\bon (?:that|the gap)\.$|, either\.$")


def aloud(text: str) -> str:
    """A printed sentence fit to be said: no metric size and no p in brackets, an aside alone."""
    bare = _CHANCES.sub("", _METRIC.sub("", text))
    return " ".join(_ASIDE.sub(r". To \1.", bare).replace("..", ".").split())


def for_an_ear(text: str) -> str:
    """A finished line as it is said: no decimal is left in it but in somebody's quoted words."""
    pieces = re.split(r"(“[^“”]*”)", text)
    return sentence("".join(p if p.startswith("“") else in_words(p) for p in pieces))


def heard_talk(talk: Talk) -> Talk:
    """Every line of a talk as it is said, in whatever units its words ended up."""

    def heard(line: Line) -> Line:
        brief, again = (None if t is None else for_an_ear(t) for t in (line.brief, line.again))
        return replace(line, text=for_an_ear(line.text), brief=brief, again=again)

    def shot(one: Shot) -> Shot:
        return replace(one, lines=tuple(map(heard, one.lines)))

    parts = tuple(replace(p, shots=tuple(map(shot, p.shots))) for p in talk.parts)
    return replace(talk, parts=parts)


def plain(markdown: str) -> str:
    """An author's Markdown as running text: what a voice would say of it."""
    found: list[str] = []
    reader = MarkdownIt("commonmark", {"html": False})
    no_word_lost(reader)
    for token in reader.parse(markdown):
        said = "".join(
            " " if t.type in ("softbreak", "hardbreak") else t.content
            for t in token.children or ()
            if t.type in ("text", "softbreak", "hardbreak", "code_inline")
        )
        if said.strip():
            found.append(_MARK.sub(r"\1", said))
    return " ".join(" ".join(found).split())


def part(
    id: str,
    title: str,
    shots: Iterable[tuple[Screen, Iterable[Line]]],
    needs: Iterable[str] = (),
) -> Part:
    """A part without lines that have nothing to say, and shots that have no lines."""
    kept = [(screen, tuple(n for n in lines if n.text)) for screen, lines in shots]
    shown = tuple(Shot(screen, lines) for screen, lines in kept if lines)
    return Part(id, title, shown, frozenset(needs))


def found(verdict: Verdict) -> str:
    """The key of what the data say about a claim."""
    return f"found {verdict.claim.id}"


def quote(desk: Desk, verdict: Verdict, rank: int, key: str = "", how: str = "") -> Line:
    """The report's own sentence, or somebody else's.  Never without what the data say about it.

    how: ``first`` for the report's first word, ``more`` where others went before.
    """
    claim, id = verdict.claim, verdict.claim.id
    names = [f"quote.{how}", "quote"] if how else ["quote"]
    names = names if claim.of_report else ["quote.by"]
    plainly = stop(begun(desk.words.claims[id].plainly))
    if _FIGURES.search(claim.sentence):
        names = ["quote.figures"]
    said = desk.tell(
        names[0], id, *names[1:], quote=claim.sentence, saying=saying(claim), plainly=plainly
    )
    return Line(said, rank, key=key or f"quote {id}", needs=found(verdict))


def plainer(desk: Desk, verdict: Verdict, rank: int) -> Line:
    """The claim in plain words, where those are other words."""
    claim, id = verdict.claim, verdict.claim.id
    plainly = begun(desk.words.claims[id].plainly)
    if same_words(plainly, claim.sentence):
        return Line("", rank)
    said = desk.spare("plainly", id, plainly=stop(plainly))
    return Line(said, rank, needs=f"quote {id}")


def begun(text: str) -> str:
    """Without the word that ties it to a sentence that may not come before it here."""
    text = re.sub(r"^(?:And|But|So) (?=\w)", "", text)
    return text[:1].upper() + text[1:]


def stop(text: str) -> str:
    return text if not text or text[-1] in ".!?”" else text + "."
