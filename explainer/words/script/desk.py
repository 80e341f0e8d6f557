"""What every part of a talk is written from: phrases, the words of a study, and what was said."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Any

from markdown_it import MarkdownIt

from explainer.claims.verdict import Judgement, Verdict
from explainer.words.facts.study import study_facts
from explainer.words.glossary.linker import no_word_lost
from explainer.words.page.study import key_verdicts
from explainer.words.phrases.renderer import Teller
from explainer.words.quantity.everyday import load_everyday
from explainer.words.said import StudyWords
from explainer.words.script.once import same_words
from explainer.words.script.talk import Card, Line, Part, Screen, Shot
from explainer.words.speakers import saying

Facts = dict[str, Any]

#: What each rank holds; the last goes first.
RANKS: Mapping[int, str] = {
    1: "The question, whether the data are made up, how many were tested, and the answer",
    2: "What the data say on the key claims",
    3: "How far the reasons for the rule carry, and the verdicts in a word",
    4: "What you are looking at, what to do, and the report’s own words",
    5: "What the axes are, and your own lines on a figure",
    6: "Your opening, the other claims and figures, and what nobody knows yet",
    7: "How to read a figure, its notes, the links of the chain, places to react",
    8: "More on why not more can be said, and what a figure cannot show",
}
ALWAYS, KEY, CHAIN, QUOTE, OWN, OTHER, READING, LIMITS = RANKS

MOST_QUESTIONS, MOST_ROWS = 4, 5

_METRIC = re.compile(r"\s\((?:about )?[−\d.,]+(?: to [−\d.,]+)? (?:µm|mm|cm|m|km/h|kg|g|°C)\)")
_CHANCES = re.compile(r"\s\([^()]*\bp [=<>≤≥][^()]*\)")
_ASIDE = re.compile(r"\s\(to (picture that: [^()]*)\)\.?")
_MARK = re.compile(r"\[\[([^\[\]=\n]+?)\s*(?:=[^\[\]\n]*)?\]\]")


class Desk:
    """What every part is written from, and what has been said so far."""

    def __init__(self, teller: Teller, judgement: Judgement, words: StudyWords) -> None:
        self.teller, self.judgement, self.words = teller, judgement, words
        self.facts: Facts = study_facts(judgement)
        self.key = {v.claim.id for v in key_verdicts(judgement)}
        self.things = load_everyday(judgement.study.workspace.template_folders)
        self.said: set[str] = set()
        self.told: dict[str, tuple[str, int]] = {}
        """What was found in so many words -> the key and the rank of the line that says it."""
        self.means: dict[str, str] = {}
        """Measures that the study explains -> the part that explains them first."""
        self.kinds: dict[tuple[str, str, bool], str] = {}
        self.cards: dict[str, Card] = {}
        self.note = teller.fragment(["script.card.note"], self.facts, about="card")
        invented = self.facts["invented"]
        self.made_up = self.tell("made-up", "made-up") if invented else ""
        self.made_up_brief = self.tell("made-up.brief", "made-up") if invented else ""
        self.reasons: set[str] = set()
        self.verdicts: Counter[str] = Counter()
        """How often each verdict was given in a word."""
        self.axes: dict[tuple[str, str], str] = {}
        """What runs across (or nothing) and up the side of a scatter -> the first part with it."""

    def has(self, name: str) -> bool:
        return self.teller.has(f"script.{name}")

    def may(self, name: str, facts: Mapping[str, Any]) -> bool:
        return self.teller.may({**self.facts, **facts}, f"script.{name}")

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
    """A printed sentence fit to be said: no metric size and no p in brackets, an aside alone."""
    bare = _CHANCES.sub("", _METRIC.sub("", text))
    return " ".join(_ASIDE.sub(r". To \1.", bare).replace("..", ".").split())


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


def quotes(
    desk: Desk,
    verdicts: list[Verdict],
    rank: int,
    more: bool = False,
    plainer: bool = True,
    bound: Line | None = None,
) -> list[Line]:
    """The report's own sentence, and the plain one where it has other words.

    Never without what the data say about it; ``bound``: the line that says that, and does not say
    what the claim is, unless in one breath.
    """
    lines = []
    for verdict in verdicts:
        claim, id = verdict.claim, verdict.claim.id
        page = claim.page
        numbered = isinstance(page, int) or (page or "").isdigit()
        where = f" on page {page}" if numbered else f" ({page})" if page else ""
        name = "quote.by" if not claim.of_report else "quote.more" if more else "quote"
        said = desk.tell(name, id, quote=claim.sentence, where=where, saying=saying(claim))
        brief = "" if bound is not None and bound.brief is not None else None
        if bound is not None:
            lines.append(Line(said, rank, key=bound.key, needs=bound.needs, brief=brief))
        else:
            lines.append(Line(said, rank, key=f"quote {id}", needs=found(verdict)))
        plainly = begun(desk.words.claims[id].plainly)
        if plainer and not same_words(plainly, claim.sentence):
            said = desk.tell("plainly", id, plainly=stop(plainly))
            needs = f"quote {id}" if bound is None else found(verdict)
            lines.append(Line(said, min(rank, OTHER), brief=brief, needs=needs))
    return lines


def begun(text: str) -> str:
    """Without the word that ties it to a sentence that may not come before it here."""
    text = re.sub(r"^(?:And|But|So) (?=\w)", "", text)
    return text[:1].upper() + text[1:]


def stop(text: str) -> str:
    return text if not text or text[-1] in ".!?”" else text + "."
