"""What every part of a talk is written from: phrases, the words of a study, and what was said."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Any

from markdown_it import MarkdownIt

from explainer.claims.verdict import Judgement, Verdict
from explainer.words.phrases import Teller
from explainer.words.said import StudyWords
from explainer.words.say_claims import claim_facts
from explainer.words.say_study import brief, key_verdicts
from explainer.words.study_facts import study_facts
from explainer.words.talk import Card, Line, Part, Screen, Shot

Facts = dict[str, Any]

#: What each rank holds; the last goes first.
RANKS: Mapping[int, str] = {
    1: "The question, whether the data are made up, how many were tested, and the answer",
    2: "What the data say on the key claims",
    3: "How far the reasons for the rule carry, and the verdicts in a word",
    4: "The report’s own words, and what you are looking at",
    5: "Your own lines, and what to do",
    6: "The other claims and figures, and what nobody knows yet",
    7: "How to read a figure, its notes, the links of the chain, places to react",
    8: "Why not more can be said, and what a figure cannot show",
}
ALWAYS, KEY, CHAIN, QUOTE, OWN, OTHER, READING, LIMITS = RANKS

AXES, DATA, SUMMARY, FIRST_NOTE, TAKEAWAY = 0, 1, 2, 3, 99
"""Steps of a figure's build-up, as the charts number them."""
MOST_QUESTIONS, MOST_ROWS = 4, 5

_METRIC = re.compile(r"\s\((?:about )?[−\d.,]+(?: to [−\d.,]+)? (?:µm|mm|cm|m|km/h|kg|g|°C)\)")
_ASIDE = re.compile(r"\s\(to (picture that: [^()]*)\)\.?")
_MARK = re.compile(r"\[\[([^\[\]=\n]+?)\s*(?:=[^\[\]\n]*)?\]\]")


class Desk:
    """What every part is written from, and what has been said so far."""

    def __init__(self, teller: Teller, judgement: Judgement, words: StudyWords) -> None:
        self.teller, self.judgement, self.words = teller, judgement, words
        self.facts: Facts = study_facts(judgement)
        self.key = {v.claim.id for v in key_verdicts(judgement)}
        self.said: set[str] = set()
        self.kinds: dict[tuple[str, str, bool], str] = {}
        self.cards: dict[str, Card] = {}
        self.note = teller.fragment(["script.card.note"], self.facts, about="card")
        invented = self.facts["invented"]
        self.made_up = self.tell("made-up", "made-up") if invented else ""
        self.made_up_brief = self.tell("made-up.brief", "made-up") if invented else ""
        self.reasons: set[str] = set()

    def tell(self, name: str, about: str, *more: str, **facts: Any) -> str:
        names = [f"script.{n}" for n in (name, *more)]
        stream = f"script.{name.split('.')[0]}"
        return aloud(self.teller.tell(names, {**self.facts, **facts}, about=about, stream=stream))

    def fragment(self, *names: str, about: str, **facts: Any) -> str:
        asked = [f"script.{name}" for name in names]
        return self.teller.fragment(asked, {**self.facts, **facts}, about=about)

    def card(self, name: str, card: Card) -> str:
        self.cards[name] = replace(card, note=self.note)
        return f"card:{name}"


def aloud(text: str) -> str:
    """A printed sentence fit to be said: no metric size in brackets, an aside on its own."""
    return " ".join(_ASIDE.sub(r". To \1.", _METRIC.sub("", text)).replace("..", ".").split())


def plain(markdown: str) -> str:
    """An author's Markdown as running text: what a voice would say of it."""
    found: list[str] = []
    for token in MarkdownIt("commonmark", {"html": False}).parse(markdown):
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


def says(desk: Desk, verdict: Verdict, rank: int) -> Line:
    """What the data say about a claim, and the same in one breath."""
    words = desk.words.claims[verdict.claim.id]
    facts = claim_facts(desk.teller, desk.judgement, verdict)
    facts["plainly"] = words.plainly.rstrip(".")
    short = brief(desk.teller, verdict, facts, "script")
    return Line(aloud(words.says), rank, brief=aloud(short), key=found(verdict))


def in_a_word(desk: Desk, verdict: Verdict, rank: int) -> Line:
    """The verdict itself; a finding in one breath has said it already, unless it is backed."""
    said = desk.tell(f"verdict.{verdict.code}", verdict.claim.id)
    short = None if verdict.code == "backed" else ""
    return Line(said, rank, brief=short, needs=found(verdict))


def found(verdict: Verdict) -> str:
    """The key of what the data say about a claim."""
    return f"found {verdict.claim.id}"


def quotes(desk: Desk, verdicts: list[Verdict], rank: int, more: bool = False) -> list[Line]:
    """The report's own sentence and the plain one; never without what the data say about it."""
    lines = []
    for verdict in verdicts:
        claim, id = verdict.claim, verdict.claim.id
        page = claim.page
        numbered = isinstance(page, int) or (page or "").isdigit()
        where = f" on page {page}" if numbered else f" ({page})" if page else ""
        name = "quote.more" if more else "quote"
        lines.append(
            Line(
                desk.tell(name, id, quote=claim.report_says, where=where),
                rank,
                needs=found(verdict),
            )
        )
        plainly = begun(desk.words.claims[id].plainly)
        if plainly.strip(". ") != claim.report_says.strip(". "):
            said = desk.tell("plainly", id, plainly=stop(plainly))
            lines.append(Line(said, min(rank, OTHER), needs=found(verdict)))
    return lines


def begun(text: str) -> str:
    """Without the word that ties it to a sentence that may not come before it here."""
    text = re.sub(r"^(?:And|But|So) (?=\w)", "", text)
    return text[:1].upper() + text[1:]


def stop(text: str) -> str:
    return text if not text or text[-1] in ".!?”" else text + "."
