"""The pages that belong to no study: front page, glossary, topics, and how verdicts work."""

from __future__ import annotations

import re
import types
from collections.abc import Callable, Container, Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache, partial
from typing import Any, Literal, Union, get_args, get_origin
from xml.etree.ElementTree import Element, SubElement, indent, tostring

from jinja2 import Template
from markupsafe import Markup
from pydantic import BaseModel
from pydantic.fields import FieldInfo

from explainer import __version__, units
from explainer.charts import svg
from explainer.charts.board import BoardRow, board_plate
from explainer.charts.strip import draw_strip
from explainer.claims.verdict import STRENGTH, Code, Strip
from explainer.editions.page import dressed
from explainer.editions.templates import as_shown, environment, safe_source, template_faults
from explainer.errors import Problem
from explainer.publish import commands
from explainer.publish.manifest import Listing
from explainer.publish.ties import Known, Neighbours, Reply, Topic, astray, neighbours, topics
from explainer.study.description.study import Description, Settings, schema_text
from explainer.study.description.tests import kinds
from explainer.study.model import Workspace
from explainer.study.thresholds import THRESHOLDS
from explainer.words.glossary.entries import Entry, Glossary
from explainer.words.glossary.of_study import glossary_of
from explainer.words.said import ClaimWords
from explainer.words.script.desk import MOST_QUESTIONS, MOST_ROWS

# The author's handbook: every key of study.yaml and every command, from their own descriptions.

SCHEMA = "study.schema.json"


@dataclass(frozen=True)
class Key:
    """One key of a block as the handbook shows it."""

    name: str
    what: str
    takes: str
    needed: bool
    otherwise: str
    """What holds where the key is left out; empty where nothing does."""
    blocks: tuple[str, ...]
    """Blocks that may stand behind it."""


@dataclass(frozen=True)
class BlockShown:
    """One block of keys, under the name it has in links."""

    id: str
    title: str
    what: str
    keys: tuple[Key, ...]


def schema_file() -> str:
    """The JSON Schema of study.yaml, for editors."""
    return schema_text()


@cache
def blocks() -> tuple[BlockShown, ...]:
    """Every block of study.yaml in the order a reader meets it, then settings.yaml."""
    seen: dict[type[BaseModel], None] = {}
    _walk(Description, seen)
    _walk(Settings, seen)
    return tuple(_shown(model) for model in seen)


def handbook_facts() -> dict[str, Any]:
    """What the two pages show."""
    return {
        "blocks": blocks(),
        "units": units.names(),
        "scales": units.DUROMETER_SCALES,
        "thresholds": THRESHOLDS,
        "aloud": {"advice": MOST_ROWS, "questions": MOST_QUESTIONS,
                  "most": f"{100 * THRESHOLDS['plateau_low'].value:g}%"},
        "sentences": SENTENCES,
        "commands": commands.COMMANDS,
        "general": commands.GENERAL,
        "statuses": commands.STATUSES,
        "completion": commands.COMPLETION,
        "install": commands.INSTALL,
        "wheel": commands.WHEEL,
    }


def _walk(model: type[BaseModel], seen: dict[type[BaseModel], None]) -> None:
    if model in seen:
        return
    seen[model] = None
    for info in model.model_fields.values():
        for inner in _models(info.annotation):
            _walk(inner, seen)


def _models(annotation: Any) -> Iterator[type[BaseModel]]:
    """The blocks that an annotation leads to."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        yield annotation
        return
    for inner in get_args(annotation):
        if inner is not Ellipsis and not isinstance(inner, str):
            yield from _models(inner)


def _shown(model: type[BaseModel]) -> BlockShown:
    keys = tuple(_key(name, info) for name, info in model.model_fields.items())
    what = " ".join((model.__doc__ or "").split())
    return BlockShown(_id(model), _title(model), what, keys)


def _id(model: type[BaseModel]) -> str:
    """``study`` for the whole; figures and tests by their kind; others by their own name."""
    kind = _kind_of(model)
    sort = "figure" if "figures" in model.__module__ else "test"
    if kind:
        return f"{sort}-{kind}"
    names = {"Description": "study", "Settings": "settings", "TableFile": "table"}
    name = names.get(model.__name__, model.__name__)
    return "".join(f"-{c.lower()}" if c.isupper() else c for c in name).strip("-")


def _title(model: type[BaseModel]) -> str:
    kind = _kind_of(model)
    if kind:
        return f"{'Figure' if 'figures' in model.__module__ else 'Test'}: {kind}"
    named = {"Description": "The whole file", "Settings": "studies/settings.yaml"}
    return named.get(model.__name__, _id(model).replace("-", " ").capitalize())


def _kind_of(model: type[BaseModel]) -> str:
    info = model.model_fields.get("kind")
    return str(get_args(info.annotation)[0]) if info is not None else ""


def _key(name: str, info: FieldInfo) -> Key:
    needed = info.is_required()
    default = None if needed else info.default
    if isinstance(default, bool):
        default = "yes" if default else "no"
    none = default in (None, (), {}) or isinstance(default, BaseModel)  # a block of nothing
    otherwise = "" if none else _plain(default)
    what = info.description or ("which kind it is" if name == "kind" else "")
    inner = tuple(_id(m) for m in _models(info.annotation))
    takes = " or ".join(dict.fromkeys(_takes(info.annotation)))
    return Key(info.alias or name, what, takes, needed, otherwise, inner)


def _plain(value: Any) -> str:
    if isinstance(value, tuple):
        return "[" + ", ".join(map(_plain, value)) + "]"
    return f"{value:g}" if isinstance(value, float) else str(value)


_WORDS = {str: "text", int: "a whole number", float: "a number", bool: "yes or no"}


def _takes(annotation: Any) -> Iterator[str]:
    """What may stand behind a key, in words; blocks are linked instead."""
    origin, inner = get_origin(annotation), get_args(annotation)
    if annotation in _WORDS:
        yield _WORDS[annotation]
    elif hasattr(annotation, "__metadata__"):
        yield from _takes(inner[0])
    elif origin in (Union, types.UnionType):
        for branch in inner:
            yield from _takes(branch)
    elif origin is Literal:
        yield "yes or no" if set(inner) == {"yes", "no"} else ", ".join(f"`{v}`" for v in inner)
    elif origin is tuple and inner[-1] is Ellipsis:
        yield "a list"
    elif origin is tuple:
        yield "two numbers [first, last]" if float in _bare(inner) else "two names [first, second]"
    elif origin is dict:
        yield "a block: name and what it stands for"


def _bare(annotations: tuple[Any, ...]) -> set[Any]:
    return {get_args(a)[0] if hasattr(a, "__metadata__") else a for a in annotations}


# --- Which test for which sentence: what reports say, and the kind of claim that holds it

#: A sentence as a report may say it, the ``kind`` of its test, and what tells it from its neighbor.
SENTENCES: tuple[tuple[str, str, str], ...] = tuple(
    (sentence, name, hint)
    for name, model in kinds().items()
    for sentence, hint in model.sentences
)


#: With more studies than this the front page shows no pictures, so that it stays light.
MOST_BOARDS = 24
#: Where a study's page speaks of other studies; set when the site is put together, since it
#: changes with them and not with the study.
OTHERS = re.compile(
    rb"<!-- other studies -->(?:(?!<!-- other studies -->).)*?<!-- /other studies -->", re.DOTALL
)
#: Where one of its questions says who took it up: after the question itself.
_TAKEN_UP = re.compile(
    rb'(<p class="ask">)([^<]*)(</p><!-- taken up -->)(?:(?!<p class="ask">).)*?'
    rb"(<!-- /taken up -->)", re.DOTALL,
)


def shared_pages(workspace: Workspace, studies: Iterable[Listing]) -> dict[str, bytes]:
    """Files about all studies, by path."""
    listed = tuple(studies)
    found = topics(map(known, listed))
    pages = {
        "index.html": front_page(workspace, listed, found),
        **{f"topic/{t.id}/index.html": topic_page(workspace, t) for t in found},
    }
    made = {path: page.encode("utf-8") for path, page in pages.items()}
    news = feed(workspace.settings, listed)
    return made if news is None else {**made, FEED: news}


def guide_pages(workspace: Workspace) -> dict[str, bytes]:
    """Files that say nothing of any study, by path."""
    pages = {
        "glossary/index.html": glossary_page(workspace, glossary_of(workspace)),
        "how/verdicts/index.html": verdicts_page(workspace),
        "how/study-yaml/index.html": handbook_page(workspace, "study-yaml.html.j2"),
        "how/commands/index.html": handbook_page(workspace, "commands.html.j2"),
        "how/install/index.html": handbook_page(workspace, "install.html.j2"),
        SCHEMA: schema_file(),
    }
    return {path: page.encode("utf-8") for path, page in pages.items()}


def tied_pages(
    workspace: Workspace,
    studies: Mapping[str, Listing],
    read: Callable[[str], bytes],
    built: Container[str],
    before: Mapping[str, Listing] | None,
) -> dict[str, bytes]:
    """Study pages whose word about other studies is new, whether or not they were built anew.

    ``read`` gives a page of the site by its path, empty where somebody removed it.  Where it is
    known of which studies the pages speak, those ``before``, only those are looked at that were
    ``built`` or have something else to say.
    """
    met = neighbours(map(known, studies.values()))
    if before is not None:
        then = neighbours(map(known, before.values()))
        met = {n: now for n, now in met.items() if n in built or now != then.get(n)}
    folders, pages = workspace.template_folders, {}
    with template_faults(folders):
        others = environment(folders).get_template("parts/others.html.j2")
        mark = environment(folders).get_template("parts/taken-up.html.j2")
        for name, now in met.items():
            path = f"{name}/index.html"
            page = read(path)
            said = _about_others(others, now)
            tied = OTHERS.sub(lambda _, said=said: said, page, count=1)  # type: ignore[misc]
            tied = _marked(mark, tied, now.asked)
            if tied != page:
                pages[path] = tied
    return pages


def astray_references(studies: Iterable[Listing]) -> tuple[Problem, ...]:
    """A warning for each ``answers`` that leads to no question of the site."""
    return tuple(
        Problem(
            "study.yaml",
            found=f"`answers: {reference}` in {study}",
            expected="the id of a question of another study on this site",
            happens="no link was made",
            severity="warning",
            code="answers",
        )
        for study, reference in astray(map(known, studies))
    )


def known(listing: Listing) -> Known:
    """A study as others see it."""
    return Known(
        listing.id, listing.title, listing.question, listing.answer, listing.invented, listing.ties
    )


def front_page(
    workspace: Workspace, studies: Iterable[Listing], found: tuple[Topic, ...] = ()
) -> str:
    """The studies by question, each with its answer and its claims on one small picture."""
    listed = tuple(studies)
    boards = {s.id: board(s) for s in listed} if len(listed) <= MOST_BOARDS else {}
    return _page(
        workspace, "index.html.j2", "page.js", studies=listed, topics=found, boards=boards,
        groups=by_question(listed, found),
    )  # fmt: skip


@dataclass(frozen=True)
class StudyGroup:
    """The studies of one question, as the front page lists them."""

    topic: Topic | None
    """None for those that share their question with no other."""
    studies: tuple[Listing, ...]


def by_question(studies: Iterable[Listing], found: Iterable[Topic]) -> tuple[StudyGroup, ...]:
    """Every study once, under its topic; the topic of the first study first, loners last."""
    listed, known_topics = tuple(studies), {topic.id: topic for topic in found}
    names = dict.fromkeys(s.ties.topic for s in listed if s.ties.topic in known_topics)
    groups = [
        StudyGroup(known_topics[name], tuple(s for s in listed if s.ties.topic == name))
        for name in names
    ]
    rest = tuple(s for s in listed if s.ties.topic not in names)
    return (*groups, *([StudyGroup(None, rest)] if rest else []))


def board(study: Listing) -> Markup:
    """A study's claims on one small picture; empty without a claim."""
    known_codes: dict[str, Code] = {code: code for code in STRENGTH}
    rows = []
    for number, claim in enumerate(study.ties.claims, start=1):
        low, high, value = claim.reach or (None, None, None)
        if claim.code in known_codes:
            rows.append(BoardRow(
                number, known_codes[claim.code], low, high, value, claim.name or claim.plainly,
                claim.hollow, claim.readings, claim.small, claim.bare, claim.either,
            ))  # fmt: skip
    if not rows:
        return Markup("")
    title = f"Every claim at a glance: {study.title}"
    plate = board_plate(tuple(rows))
    return Markup(svg.render(plate, f"board-{study.id}", title, "", ground=False))


def topic_page(workspace: Workspace, topic: Topic) -> str:
    """One question across studies: what each found, what got answered, what is still open."""
    return _page(workspace, "topic.html.j2", "page.js", topic=topic)


def verdicts_page(workspace: Workspace) -> str:
    """How a verdict is reached: labels, the range strip, the numbers behind the words."""
    limits = tuple((t.explained, f"{t.value:g}") for t in THRESHOLDS.values())
    return _page(workspace, "verdicts.html.j2", "page.js", samples=SAMPLES, limits=limits)


def handbook_page(workspace: Workspace, template: str) -> str:
    """A page for authors: the keys of study.yaml, or the commands."""
    return _page(workspace, template, "page.js", **handbook_facts())


def glossary_page(workspace: Workspace, glossary: Glossary) -> str:
    """Every term of the workspace, by letter."""
    letters: dict[str, list[Entry]] = {}
    for entry in sorted(glossary.entries, key=lambda e: e.term.casefold()):
        letters.setdefault(entry.term[:1].upper(), []).append(entry)
    see = {
        entry.slug: tuple(found for name in entry.see if (found := glossary.find(name)))
        for entry in glossary.entries
    }
    return _page(workspace, "glossary.html.j2", "glossary.js", letters=letters, see=see)


def _about_others(template: Template, met: Neighbours) -> bytes:
    """The part of a study's page about other studies; only its place where there is none."""
    said = template.render(
        asked=met.asked, answered=met.answered, topic=met.topic, others=met.others
    )
    return f"<!-- other studies -->{said}<!-- /other studies -->".encode()


def _marked(template: Template, page: bytes, asked: tuple[Reply, ...]) -> bytes:
    """The page with a word beside each of its questions that another study took up."""

    def mark(place: re.Match[bytes]) -> bytes:
        mine = [r for r in asked if as_shown(r.ask).encode() == place[2]]
        said = template.render(replies=mine).strip().encode() if mine else b""
        return b"".join((place[1], place[2], place[3], said, place[4]))

    return _TAKEN_UP.sub(mark, page)


def _page(workspace: Workspace, template: str, script: str, **known: Any) -> str:
    folders, settings = workspace.template_folders, workspace.settings
    with template_faults(folders):
        whole = partial(
            environment(folders).get_template(template).render,
            **known,
            settings={"title": settings.title, "base_address": settings.base_address or ""},
            version=__version__,
        )
        return dressed(whole, folders, safe_source(folders, script))


# --- An Atom feed of the site (RFC 4287): one entry per study, newest first.
#
# Its only dates are those of the reports and of their corrections, so the same studies give the
# same bytes on any day.  Atom asks for a date of every entry: a study without one is not in it.

FEED = "feed.xml"
_ATOM = "http://www.w3.org/2005/Atom"
_FIRST_DAY = "0001-01-01"


def feed(settings: Settings, studies: Iterable[Listing]) -> bytes | None:
    """The feed as UTF-8; None without a base address, since a feed needs absolute ones."""
    base = (settings.base_address or "").rstrip("/")
    if not base:
        return None
    dated = [(latest(study), study) for study in studies if latest(study)]
    dated.sort(key=lambda pair: (pair[0], pair[1].id), reverse=True)
    root = Element("feed", xmlns=_ATOM)
    SubElement(root, "title").text = settings.title
    SubElement(root, "id").text = f"{base}/"
    SubElement(root, "updated").text = _moment(dated[0][0] if dated else _FIRST_DAY)
    SubElement(root, "link", rel="self", href=f"{base}/{FEED}")
    SubElement(root, "link", rel="alternate", href=f"{base}/")
    SubElement(SubElement(root, "author"), "name").text = settings.title
    for day, study in dated:
        _entry(root, f"{base}/{study.id}/", day, study)
    indent(root, " ")
    return bytes(tostring(root, encoding="utf-8", xml_declaration=True)) + b"\n"


def latest(study: Listing) -> str:
    """The latest date of edition, correction and report; empty where there is none."""
    return max(study.ties.date, study.ties.updated)


def _entry(root: Element, address: str, day: str, study: Listing) -> None:
    entry = SubElement(root, "entry")
    SubElement(entry, "title").text = study.title
    SubElement(entry, "id").text = address
    SubElement(entry, "updated").text = _moment(day)
    SubElement(entry, "link", rel="alternate", href=address)
    put_right = [f"Corrected on {when}: {what}" for when, what in study.ties.corrections]
    said = [*put_right, f"{study.question} {study.answer}", study.ties.edition]
    SubElement(entry, "summary").text = " ".join(filter(None, said))


def _moment(day: str) -> str:
    """A date as Atom writes one; a month or a year alone counts from its first day."""
    return f"{day}{_FIRST_DAY[len(day) :]}T00:00:00Z"


# --- The drawn examples of the page about verdicts: one question, and what each answer looks like.
#
# The numbers are invented and say what they stand for: a ball's change in cover roughness, where
# 6 microinches is the least a bowler would notice.

CLAIM = "Covers get smoother with play."


@dataclass(frozen=True)
class Sample:
    """A verdict, drawn."""

    code: Code
    label: str
    value: float
    low: float
    high: float
    explained: str

    @property
    def svg(self) -> Markup:
        """The range strip, trusted: it is drawn here, from these numbers."""
        strip = Strip(self.value, self.low, self.high, (None, 0.0), (-6.0, 6.0), 0.0,
                      "microinch", "smoother", "rougher")  # fmt: skip
        words = ClaimWords(
            label=self.label, plainly=CLAIM, says="", because=(), settle="",
            strip=self.explained, estimate="", method="",
        )  # fmt: skip
        return Markup(draw_strip(strip, f"sample-{self.code}", words))


#: One for each verdict that has a range; ``not-tested`` has none.
SAMPLES: tuple[Sample, ...] = (
    Sample(
        "backed", "Backed by this data", -18, -24, -12,
        "All of the likely range lies on the smoother side, where the claim says.",
    ),
    Sample(
        "leans", "Leans this way", -8, -17, 1,
        "The best guess is smoother, and most of the range is, but its end reaches past zero.",
    ),
    Sample(
        "cannot-tell", "Can’t tell from this data", -3, -18, 12,
        "The range covers smoother and rougher alike. That is not the same as no change.",
    ),
    Sample(
        "against", "The data point the other way", 13, 7, 19,
        "All of the range lies on the rougher side, where the claim says it should not.",
    ),
)  # fmt: skip
