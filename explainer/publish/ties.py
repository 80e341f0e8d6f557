"""How studies speak to each other: a question one leaves open, and the study that takes it up.

Pure functions over what the site knows of its studies.  Dates are the reports', as YYYY-MM-DD.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, fields, replace
from typing import TYPE_CHECKING, Any, TypeVar

# The site's list is read through here even where nothing is built: only for types, then.
if TYPE_CHECKING:
    from _typeshed import DataclassInstance

    from explainer.charts.board import BoardRow
    from explainer.editions.article import Article, ClaimView
    from explainer.study.description.study import Description

T = TypeVar("T", bound="DataclassInstance")
#: Verdicts that settle a question, one way or the other.
SETTLED = frozenset({"backed", "against"})
#: All there are, ``claims.verdict.Code``.
CODES = SETTLED | {"leans", "cannot-tell", "not-tested"}


@dataclass(frozen=True)
class Held:
    """A claim and how it holds up."""

    id: str
    plainly: str
    says: str
    label: str
    code: str
    key: bool = False
    answers: str = ""
    """``other-study/question`` that this claim answers."""
    name: str = ""
    """A name of a few words, for a row of a picture."""
    reach: tuple[float, float, float | None] | None = None
    """Its range and estimate on the board: how far beyond the edge of what it needs, -1 to 1."""
    hollow: bool = False
    """Whether something holds it back that the range alone does not show."""
    readings: tuple[float, ...] = ()
    """How far each reading against a limit reaches, where it is those and no likely range."""
    small: bool = False
    """Whether the data are against it because what they show is too small."""
    either: bool = False
    """Whether its range also reaches where it would be true the other way."""
    bare: str = ""
    """What stands on the board where there is no range to draw."""


@dataclass(frozen=True)
class Ties:
    """What other studies may refer to."""

    topic: str = ""
    date: str = ""
    date_words: str = ""
    answers: str = ""
    """``other-study/question`` that the study as a whole takes up."""
    asks: tuple[tuple[str, str], ...] = ()
    """(question id, question): what its author leaves open, for others to answer."""
    open: tuple[str, ...] = ()
    """What nobody knows yet, the author's questions and the analysis's of claims of its own."""
    claims: tuple[Held, ...] = ()
    updated: str = ""
    """Date of this edition, else of the latest correction, as YYYY-MM-DD; empty without either."""
    edition: str = ""
    """Which edition this is, in words."""
    corrections: tuple[tuple[str, str], ...] = ()
    """(day in words, what was put right), newest first."""
    here_for: str = ""
    """Why the study is on the site, where its author says so."""


@dataclass(frozen=True)
class Known:
    """One study of the site."""

    id: str
    title: str
    question: str
    answer: str
    invented: bool
    ties: Ties

    @property
    def main_claims(self) -> tuple[Held, ...]:
        """The report's key findings and what answers another study; else all it claims."""
        told = tuple(c for c in self.ties.claims if c.key or c.answers)
        return told or self.ties.claims


@dataclass(frozen=True)
class Reply:
    """A question of one study, taken up by another."""

    asker: Known
    question: str
    ask: str
    by: Known
    claims: tuple[Held, ...]
    """The claims whose verdicts are the answer."""

    @property
    def outcome(self) -> str:
        """``answered``, ``partly`` or ``open``."""
        settled = [claim.code in SETTLED for claim in self.claims]
        if settled and all(settled):
            return "answered"
        return "partly" if any(settled) else "open"


@dataclass(frozen=True)
class Topic:
    """The studies of one question, oldest report first."""

    id: str
    name: str
    studies: tuple[Known, ...]
    replies: tuple[Reply, ...]
    askers: tuple[Known, ...] = field(default=())
    """Studies of another topic that asked what is answered here."""
    answerers: tuple[Known, ...] = field(default=())
    """Studies of another topic that took up a question of one of these."""

    @property
    def beside(self) -> tuple[tuple[Known, tuple[Held, ...]], ...]:
        """(study, its claims that speak to this topic) of every study of another topic that does,
        oldest report first; one that only asked has its main claims."""
        found = []
        for study in by_date({s.id: s for s in (*self.askers, *self.answerers)}.values()):
            told = {c.id: c for r in self.replies if r.by.id == study.id for c in r.claims}
            found.append((study, tuple(told.values()) or study.main_claims))
        return tuple(found)

    @property
    def still_open(self) -> tuple[tuple[Known, str], ...]:
        """(study, question) that no study of the topic has settled."""
        done = {reply.ask for reply in self.replies if reply.outcome == "answered"}
        own = [(study, ask) for study in self.studies for ask in study.ties.open]
        asked = [(r.asker, r.ask) for r in self.replies if r.asker in self.askers]
        return tuple((study, ask) for study, ask in (*asked, *own) if ask not in done)

    @property
    def open_by_study(self) -> tuple[tuple[Known, tuple[str, ...]], ...]:
        """The same, each study's questions together, in the order of the studies."""
        found: dict[str, tuple[Known, list[str]]] = {}
        for study, ask in self.still_open:
            found.setdefault(study.id, (study, []))[1].append(ask)
        return tuple((study, tuple(asks)) for study, asks in found.values())


@dataclass(frozen=True)
class Neighbours:
    """What other studies have to do with one: all that its page says of them."""

    asked: tuple[Reply, ...]
    """Who took up its questions."""
    answered: tuple[Reply, ...]
    """Whose questions it took up."""
    topic: Topic | None
    others: tuple[Known, ...]
    """The other studies of the topic."""


def ties_of(article: Article, said: Description) -> Ties:
    """What a study says that others may refer to."""
    given = {claim.id: claim.answers or "" for claim in said.claims}
    rows = {row.number: row for row in article.board_rows}
    return Ties(
        topic=said.topic or "",
        date=(said.report.date or "") if said.report else "",
        date_words=article.report.date if article.report else "",
        answers=said.answers or "",
        asks=tuple((q.id, q.ask) for q in said.questions if q.id),
        # What a claim leaves open of a question that it answers stands under that question already.
        open=tuple(dict.fromkeys(q.ask for q in article.questions if not given.get(q.claim))),
        claims=tuple(
            _held(c, given[c.id], rows.get(c.number)) for c in article.claims
        ),
        updated=article.updated,
        here_for=said.here_for or "",
    )


def _held(claim: ClaimView, answers: str, row: BoardRow | None) -> Held:
    words = claim.words
    made = Held(
        claim.id, words.plainly, words.says, words.label, claim.code, claim.key, answers,
        name=row.name if row else words.brief,
    )  # fmt: skip
    if row is None or row.low is None or row.high is None:
        return replace(made, bare=row.bare) if row is not None else made
    return replace(made, reach=(row.low, row.high, row.value), hollow=row.held,
                   readings=row.readings, small=row.small, either=row.either)  # fmt: skip


def read_ties(said: Mapping[str, Any] | None) -> Ties:
    """Ties as the site's list keeps them.  Raises TypeError for what is no such thing."""
    if not said:
        return Ties()
    return typed(Ties(**{
        **said,
        "asks": tuple((str(name), str(ask)) for name, ask in said.get("asks", ())),
        "open": tuple(str(ask) for ask in said.get("open", ())),
        "corrections": tuple((str(day), str(what)) for day, what in said.get("corrections", ())),
        "claims": tuple(_read_held(claim) for claim in said.get("claims", ())),
    }))  # fmt: skip


def _read_held(said: Mapping[str, Any]) -> Held:
    """A claim as the site's list keeps it; it has a verdict that there is, and what it draws lies
    where the board can draw it."""
    if said["code"] not in CODES:
        raise TypeError("code")
    given = said.get("reach")
    # Lists of older sites say only whether there are any: those are drawn by the ends of the row.
    read = said.get("readings", ())
    listed = (given or ())[:2] if read is True else () if read is False else read
    readings = tuple(float(at) for at in listed)
    said = {**said, "readings": readings}
    if given is None:
        return typed(Held(**said))
    low, high, value = (None if at is None else float(at) for at in given)
    drawn = (low, high, value or 0.0, *readings)
    if low is None or high is None or not all(-1 <= at <= 1 for at in drawn if at is not None):
        raise TypeError("reach")
    return typed(Held(**{**said, "reach": (low, high, value)}))


def typed(made: T) -> T:
    """The same object.  Raises TypeError where what must be text or yes or no is not."""
    for part in fields(made):
        kind = {"str": str, "bool": bool}.get(str(part.type))
        if kind and not isinstance(getattr(made, part.name), kind):
            raise TypeError(part.name)
    return made


def by_date(studies: Iterable[Known]) -> tuple[Known, ...]:
    """Oldest report first; a study without a report's date comes last."""
    return tuple(sorted(studies, key=lambda s: (s.ties.date or "9999", s.id)))


def replies(studies: Iterable[Known]) -> tuple[Reply, ...]:
    """Every question that was taken up, in the order of the studies that took it up.

    What refers to a study or a question that is not there is left out.
    """
    known = {study.id: study for study in studies}
    found = []
    for study in by_date(known.values()):
        for reference in _taken_up(study):
            asker, _, question = reference.partition("/")
            ask = dict(known[asker].ties.asks).get(question) if asker in known else None
            if ask is not None and asker != study.id:
                claims = _answering(study, reference)
                found.append(Reply(known[asker], question, ask, study, claims))
    return tuple(found)


def astray(studies: Iterable[Known]) -> tuple[tuple[str, str], ...]:
    """(study, reference) of what names no question of another study here."""
    known = tuple(studies)
    met = {(r.by.id, f"{r.asker.id}/{r.question}") for r in replies(known)}
    named = [(study.id, reference) for study in by_date(known) for reference in _taken_up(study)]
    return tuple(pair for pair in named if pair not in met)


def topics(studies: Iterable[Known]) -> tuple[Topic, ...]:
    """Every topic that ties two studies or more together, by name."""
    known = tuple(studies)
    taken = replies(known)
    found = []
    for name in sorted({s.ties.topic for s in known if s.ties.topic}):
        mine = by_date(s for s in known if s.ties.topic == name)
        here = tuple(r for r in taken if r.by in mine or r.asker in mine)
        askers = by_date({r.asker.id: r.asker for r in here if r.asker not in mine}.values())
        takers = by_date({r.by.id: r.by for r in here if r.by not in mine}.values())
        if len(mine) + len(askers) + len(takers) < 2:
            continue  # one study alone is its own page
        found.append(Topic(name, name.replace("-", " "), mine, here, askers, takers))
    return tuple(found)


def neighbours(studies: Iterable[Known]) -> dict[str, Neighbours]:
    """For each study, by id, what the others have to do with it."""
    everyone = tuple(studies)
    taken, tied = replies(everyone), topics(everyone)
    by_name = {topic.id: topic for topic in tied}
    asker_of = {asker.id: topic for topic in reversed(tied) for asker in topic.askers}
    taker_of = {taker.id: topic for topic in reversed(tied) for taker in topic.answerers}
    found = {}
    for study in everyone:
        own = by_name.get(study.ties.topic)
        topic = own or asker_of.get(study.id) or taker_of.get(study.id)
        found[study.id] = Neighbours(
            tuple(r for r in taken if r.asker.id == study.id),
            tuple(r for r in taken if r.by.id == study.id),
            topic,
            tuple(s for s in topic.studies if s.id != study.id) if topic else (),
        )
    return found


def _taken_up(study: Known) -> tuple[str, ...]:
    """References of a study and of its claims, each once."""
    said = [study.ties.answers, *(claim.answers for claim in study.ties.claims)]
    return tuple(dict.fromkeys(reference for reference in said if reference))


def _answering(study: Known, reference: str) -> tuple[Held, ...]:
    """The claims that name the question; else the report's key claims; else all."""
    claims = study.ties.claims
    named = tuple(c for c in claims if c.answers == reference)
    return named or tuple(c for c in claims if c.key) or claims
