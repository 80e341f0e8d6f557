"""What goes with a video beside its script: words for its overlays, its ends and its short clips.

Nothing here judges: findings are the sentences of ``StudyWords``, at the strength of their
verdicts.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Literal

from explainer.claims.verdict import Code, Judgement, Verdict
from explainer.words.facts.items import item_of, table_of
from explainer.words.facts.study import study_facts
from explainer.words.glossary.entry import Entry
from explainer.words.glossary.linker import finder_for
from explainer.words.glossary.of_study import glossary_for
from explainer.words.phrases.book import teller_for
from explainer.words.phrases.renderer import Teller
from explainer.words.quantity.sizes import tally
from explainer.words.said import ClaimWords, StudyWords
from explainer.words.script.desk import aloud, begun, stop
from explainer.words.script.talk import Card, Row
from explainer.words.speakers import saying

MOST_TERMS = 12
Facts = dict[str, Any]
Picture = Literal["claim", "figure", "verdict"]
#: Between the sentences of a text that is said.
_SENTENCES = re.compile(r"(?:(?<=[.!?])|(?<=[.!?][”\"]))\s+(?=[A-Z0-9“\"−])")


@dataclass(frozen=True)
class ShortLine:
    """One or more sentences of a short clip, and the picture they are said over."""

    picture: Picture
    said: tuple[str, ...]
    rank: int
    """1 is always said, of 2 at least the first sentence; from 3 on only what there is room for."""
    instead: tuple[str, ...] = ()
    """What may be said in its place where there is no room for it, the dearest first."""


@dataclass(frozen=True)
class Short:
    """One claim as a vertical clip."""

    claim: str
    figure: str
    """The id of the figure that shows it; empty where none does."""
    card: Card
    lines: tuple[ShortLine, ...]


@dataclass(frozen=True)
class ClaimTold:
    """A claim as an overlay shows it."""

    id: str
    kicker: str
    plainly: str
    code: Code
    label: str


@dataclass(frozen=True)
class KitWords:
    """Every word of a kit."""

    thumbnail: tuple[str, ...]
    """At most four words, a line each or two to a line."""
    end: str
    notice: str
    """``made-up data``, or nothing."""
    term: str
    """What stands over a term."""
    terms: tuple[tuple[str, str], ...]
    """(term, the same in plain words), in the order in which the script says them."""
    claims: tuple[ClaimTold, ...]
    corrections: tuple[tuple[str, str], ...]
    """(day, what was put right), newest first."""
    comment: tuple[str, ...]
    """What to pin under the video, a paragraph each."""
    questions: str
    """What stands over the list of open questions."""
    asked: tuple[tuple[str, str, str], ...]
    """(question, what would settle it, its id where the author gave it one)."""
    shorts: tuple[Short, ...]


def kit_words(judgement: Judgement, words: StudyWords, script: str) -> KitWords:
    """The words of a kit; ``script`` is all that the full script says.

    Raises WorkspaceError for a faulty phrase.
    """
    study = judgement.study
    teller = teller_for(judgement, study.workspace.settings.audience)
    codes = [v.code for v in judgement.verdicts]
    facts = study_facts(judgement) | {
        "backed": codes.count("backed"), "claims": len(codes), "answer": words.answer,
        "stale": words.edition.stale, "ask": words.questions[0][0] if words.questions else "",
    }  # fmt: skip

    def tell(name: str) -> str:
        return teller.fragment([f"kit.{name}"], facts, about=study.id)

    notice = tell("notice")
    first, *rest = tell("thumbnail").rsplit(" ", 1)
    return KitWords(
        thumbnail=(first, *rest, *([notice] if notice else [])),
        end=tell("end"), notice=notice, term=tell("term"),
        terms=tuple((e.term, e.plainly) for e in _terms(judgement, script)),
        claims=tuple(_told(v, words.claims[v.claim.id]) for v in judgement.verdicts),
        corrections=tuple((made.day, made.whole) for made in words.edition.corrections),
        comment=tuple(_comment(tell, words)),
        questions=tell("questions"), asked=tuple(_asked(judgement, words)),
        shorts=tuple(_short(teller, judgement, words, v, facts) for v in judgement.verdicts),
    )  # fmt: skip


def _comment(tell: Any, words: StudyWords) -> Iterator[str]:
    if words.edition.stale:
        yield tell("comment.stale")
        yield from (f"{made.day}: {made.whole}" for made in words.edition.corrections[:1])
    yield tell("comment")
    if words.questions:
        yield tell("comment.ask")
        yield tell("comment.list")


def _asked(judgement: Judgement, words: StudyWords) -> Iterator[tuple[str, str, str]]:
    own = judgement.study.description.questions
    ids = {" ".join(q.ask.split()): q.id or "" for q in own}
    for ask, _, settled in words.questions:
        yield ask, settled, ids.get(" ".join(ask.split()), "")


def _terms(judgement: Judgement, script: str) -> list[Entry]:
    """The glossary's terms that the script says, each once; a study's own measures first."""
    glossary = glossary_for(judgement.study)
    measures = judgement.study.description.measures.values()
    own = [glossary.find(m.term) for m in measures if m.term]
    said = [hit.entry for hit in finder_for(glossary).find(script)]
    found = {e.term: e for e in (*own, *said) if e is not None}
    return list(found.values())[:MOST_TERMS]


def _told(verdict: Verdict, words: ClaimWords) -> ClaimTold:
    claim = verdict.claim
    return ClaimTold(claim.id, saying(claim), begun(words.plainly), verdict.code, words.label)


def _short(
    teller: Teller, judgement: Judgement, words: StudyWords, verdict: Verdict, shared: Facts
) -> Short:
    id, told = verdict.claim.id, words.claims[verdict.claim.id]
    table = table_of(verdict, judgement.study)
    item = item_of(verdict, judgement.study, table)
    counted = tally(verdict.n_items, item) if table and verdict.n_items else ""
    facts = shared | {
        "plainly": stop(begun(told.plainly)), "label": told.label[:1].lower() + told.label[1:],
        "counted": counted, "short": told.short if verdict.code == "against" else "",
    }  # fmt: skip

    def tell(name: str) -> str:
        return teller.fragment([f"kit.short.{name}"], facts, about=id)

    figure = next((r.figure.id for r in judgement.figures if id in r.claims), "")
    cannot = [words.figures[figure].cannot_show] if figure else []
    limits = [aloud(text) for text in (*told.because, *told.beside, *cannot) if text]
    untested = verdict.code == "not-tested"
    own = tell("untested") if untested or not counted else tell("counted")
    shown: Picture = "figure" if figure and not untested else "claim"
    lines = [
        ShortLine("claim", (tell("hook"),), 1),
        ShortLine("claim", (tell("made-up"),) if shared["invented"] else (), 1),
        ShortLine(shown, tuple(_SENTENCES.split(aloud(told.says))), 2),
        ShortLine("verdict", (tell("verdict"),), 1),
        ShortLine("verdict", (limits[0] if limits else own,), 1, (*limits[1:], own)),
        ShortLine("verdict", (own,) if limits and not untested else (), 3),
        *(ShortLine("verdict", (text,), 4) for text in limits[1:]),
        ShortLine("verdict", (aloud(told.settle),) if told.settle else (), 5),
        ShortLine("verdict", (tell("close"),), 6),
        ShortLine("verdict", (tell("question"),), 7),
    ]
    note = teller.fragment(["kit.notice"], shared, about=id)
    card = Card(saying(verdict.claim), stop(begun(told.plainly)), (Row(told.label),), note)
    return Short(id, figure, card, tuple(line for line in lines if line.said))
