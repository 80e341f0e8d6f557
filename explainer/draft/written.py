"""A plan as a commented study.yaml: what was guessed stands there, marked where to look."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from explainer import units
from explainer.draft.columns import Column
from explainer.draft.guess import Guess, in_one_line, quoted
from explainer.draft.headers import USE_WORDS
from explainer.draft.numbers import is_plainly_none
from explainer.draft.parts import Parts
from explainer.draft.plan import _WAYS, Plan
from explainer.draft.proposals import MeasurePlan, Proposal, TablePlan
from explainer.draft.tidy import said
from explainer.study.called import named_after_people
from explainer.study.description.lifted import LiftedFrom, sidecar_name
from explainer.study.load import DRAFTED, UNQUOTED
from explainer.study.persons import is_person
from explainer.study.yaml12 import scalar


@dataclass(frozen=True)
class GivenReport:
    """What a report's PDF adds to a draft beside its tables: its pages, its sentences as claims."""

    title: str
    pages: int
    claims: str


SCHEMA = "# yaml-language-server: $schema=../study.schema.json"
_PLAIN = re.compile(r"[A-Za-zµ°][A-Za-z0-9µ°_.'/() -]*")


def scalar_text(value: Any) -> str:
    """A value as it can stand anywhere in YAML, in quotes only where it must."""
    if isinstance(value, dict):
        return "{" + ", ".join(f"{k}: {scalar_text(v)}" for k, v in value.items()) + "}"
    if isinstance(value, list | tuple):
        return "[" + ", ".join(map(scalar_text, value)) + "]"
    if isinstance(value, int | float):
        return f"{value:.12g}"
    text = str(value)
    plain = _PLAIN.fullmatch(text) and isinstance(scalar(text), str) and text == text.strip()
    return text if plain else json.dumps(text, ensure_ascii=not text.isprintable())


def study_yaml(
    plan: Plan, lifted: Mapping[str, LiftedFrom] | None = None, report: GivenReport | None = None,
    questions: Sequence[Guess] = (), left_out: Sequence[Guess] = (),
) -> str:  # fmt: skip
    """The whole file; ``lifted`` says of an original where in the report it stands,
    ``questions`` are what only the author can settle, and ``left_out`` is what the copies lack."""
    head = [SCHEMA, *_preface(), *_looked_at(questions, left_out)]
    return "\n".join([*head, *_lines(plan, lifted or {}, report)]) + "\n"


#: So many questions stand at the head of the file; the rest were said when it was drafted.
_MOST_QUESTIONS = 40


def _lines(
    plan: Plan, lifted: Mapping[str, LiftedFrom], report: GivenReport | None
) -> Iterator[str]:  # fmt: skip
    title = plan.name.replace("-", " ").replace("_", " ").strip()
    asks = plan.proposals[0].asks if plan.proposals else "what do these readings say?"
    yield f"title: {scalar_text(title[:1].upper() + title[1:])}  # CONFIRM: what you would call it"
    asks = scalar_text(asks[:1].upper() + asks[1:])
    yield f"question: {asks}  # CONFIRM: as a bowler would ask it"
    if plan.made_up:
        said = quoted(plan.made_up)
        yield f"invented: yes  # CONFIRM: the sheet says {said}: is the data made up?"
    else:
        yield "# invented: yes          if the data is made up: said on every page"
    if report is None:
        yield (
            "# report: {title: …, publisher: …, date: 2026-01-31, pages: 12}"
            "     the report explained"
        )
    else:
        named = scalar_text({"title": report.title, "pages": report.pages})
        yield f"report: {named}  # CONFIRM: its title as printed; add publisher and date"
    yield ""
    yield from _tested(plan)
    yield ""
    yield "measures:"
    for measure in plan.measures:
        yield from _measure(measure, plan)
    if not plan.measures:
        yield "  {}"
    yield ""
    yield "tables:"
    for table in plan.tables:
        yield from _table(table, plan, lifted.get(table.tidy.original))
    yield ""
    yield from _figures(plan.proposals)
    yield ""
    yield from _claims(plan.proposals)
    if report is not None:
        yield from _sentences(report.claims)
    yield from _more()


def _preface() -> Iterator[str]:
    yield f"{DRAFTED} What a file did not say outright is marked CONFIRM: look at it, mend it"
    yield "# if need be, and take the mark away. `explainer proof` lists the marks that are left."
    yield "# The files as they came are in originals/; the CSV files beside this are tidy copies."
    yield ""


def _looked_at(questions: Sequence[Guess], left_out: Sequence[Guess]) -> Iterator[str]:
    """The lists at the head of the file, which the local page shows, too."""
    lists = (("What to look at, what most hangs on it first:", questions),
             ("What stands in the files as they came and in no copy:", left_out))  # fmt: skip
    for title, guesses in lists:
        if guesses:
            yield f"# {title}"
        for guess in guesses[:_MOST_QUESTIONS]:
            why = f" ({guess.why})" if guess.why else ""
            told = " ".join(f"{guess.about}: {guess.what}{why}".split())
            yield f"# - {''.join(c if c.isprintable() else '?' for c in told)}"
        if len(guesses) > _MOST_QUESTIONS:
            yield f"# - and {len(guesses) - _MOST_QUESTIONS} more, said when it was drafted"
        if guesses:
            yield ""


def _each(parts: Parts) -> str | list[str]:
    """What counts as one, and the column around it where it takes both to name one."""
    return parts.item.name if parts.outer is None else [parts.outer.name, parts.item.name]


def _tested(plan: Plan) -> Iterator[str]:
    first = plan.tables[0].parts
    yield "# What counts as one. The numbers of evidence on the page are counted in these."
    yield "tested:"
    yield f"  each: {scalar_text(_each(first))}  # CONFIRM: what counts as one, not a shot of it"
    if _called_like_people(first):
        yield f"  people: yes  # CONFIRM: is each {first.each} somebody? Initials are shown then"
    if group := first.counts_once:
        yield (f"  group: {scalar_text(group.name)}  # CONFIRM: each {group.name} counts once "
               f"then, not each {first.each}; if not so, leave it out: empty this field")
    yield from _picked(plan)
    alike = [t.parts.item for t in plan.tables if not t.apart(plan.tables[0])]
    count = len({name for item in alike for name in item.distinct})
    yield f"  count: {count}" if count else "  # count: how many the report says"
    yield "  # described: what they were, in a sentence"
    use = next((t.parts.use for t in plan.tables if t.parts.use), None)
    if use is not None:
        mark = f"  # CONFIRM: {asks}" if (asks := _unsure(use)) else ""
        yield f"use: {scalar_text(_use(use))}{mark}"
        yield "# …, as: [{term: league night, each: 3}]}      told in these units, too"


def _called_like_people(parts: Parts) -> bool:
    """Whether items of a word that means nobody are called like people: until it is answered, they
    are taken as some."""
    known = is_person(parts.each) or said(parts.item.header) & _THINGS or parts.outer is not None
    return not known and named_after_people(parts.item.distinct) == "yes"


#: Words for what counts as one that is nobody, whatever it is called.
_THINGS = frozenset(["ball", "kugel", "boule", "bola", "model", "machine", "sample", "specimen"])


def _picked(plan: Plan) -> Iterator[str]:
    """How a group was picked, where a note says so: the question, and until it is answered the
    answer that makes a claim about the group the weaker."""
    if plan.picked is None:
        return
    p = plan.picked
    if p.by:
        key = scalar_text({"by": p.by, "only": {p.column: p.value}})
        yield f"  chosen_by: {key}  # CONFIRM: {p.asks} If not by its {p.by}, empty this field"


def _use(column: Column) -> dict[str, str]:
    word = next((w for w in column.header.words.casefold().split() if w in USE_WORDS), "use")
    unit = USE_WORDS[word]
    term = "games rolled" if unit == "game" else column.header.words
    if term.casefold() == word == unit:  # the axis counts them: weeks
        term = units.plural(unit)
    return {"column": column.name, "term": term, "unit": unit}


def _unsure(column: Column) -> str:
    """What is asked of a column of use; empty where its head says it."""
    counts = "what the numbers count" if column.counted else ""
    return "; ".join(filter(None, (counts, column.asks)))


_UNEXPLAINED = "its name on the page, which our glossary does not explain"


def _measure(m: MeasurePlan, plan: Plan) -> Iterator[str]:
    unit = units.plural(m.unit) if m.unit != "count" else "its unit"
    size = f"smallest change a bowler would notice, in {unit}"
    compared = any(m.name == p.claim["test"].get("measure") for p in plan.proposals if p.claim)
    yield f"  {m.name}:" + (f"  # CONFIRM: add `matters_from:`, the {size}" if compared else "")
    asks = m.asks or ("" if m.known else _UNEXPLAINED)
    other = m.means if m.means.casefold() != m.term.casefold() else ""
    if other and asks == _UNEXPLAINED:
        asks += f"; is it `{other}`?"
    mark = f"  # or {other}, which our glossary explains, if that is what was read" if other else ""
    yield f"    term: {scalar_text(m.term)}" + (f"  # CONFIRM: {asks}" if asks else mark)
    yield f"    unit: {scalar_text(m.unit)}" + (f"  # CONFIRM: {m.confirm}" if m.confirm else "")
    path = next((t for t in plan.tables if t.parts.path and m.name == "total_hook"), None)
    if path is not None and path.parts.path is not None:
        feet, board = path.parts.path
        derived = {"path": path.name, "what": "total hook", "distance": feet.name,
                   "board": board.name}  # fmt: skip
        yield f"    derived: {scalar_text(derived)}"
    more = _WAYS.get(m.means)
    if more:
        yield f"    more_is: {more[0]}"
        yield f"    less_is: {more[1]}"
    yield f"    # resolution: {m.step}      smallest step the gauge shows (this is the finest seen)"
    if m.gauge:
        yield (f"    # repeatability_sd: …     the sheet says {quoted(m.gauge)}: if that is how "
               "far repeat readings of one spot lie apart, put their standard deviation")
    if not compared:
        yield f"    # matters_from:       {size}"


def _sentences(stubs: str) -> Iterator[str]:
    """The report's own sentences as claims that are still asleep."""
    yield ""
    yield "# The report's sentences that sound like claims, found by their words alone. Wake those"
    yield "# you keep (take away `# `, move them under `claims:`), say them in everyday words, and"
    yield "# put names of this file where there are capitals."
    for line in stubs.splitlines():
        if line.startswith("  "):
            yield f"# {line}"


def _table(t: TablePlan, plan: Plan, lifted: LiftedFrom | None = None) -> Iterator[str]:
    yield f"  {scalar_text(t.name)}:"
    yield f"    file: {scalar_text(t.file)}{_filled(t)}"
    if lifted is None:
        sheet = f", sheet {t.tidy.sheet}" if t.tidy.sheet else ""
        source = t.tidy.source or f"{t.tidy.original}{sheet}, {t.tidy.rows}"
        asks = "add table and page of the report, if there is one"
        mark = f"  # CONFIRM: {asks}" if t is plan.tables[0] else ""
        yield f"    source: {scalar_text(source)}{mark}"
    else:
        source = f"{lifted.what or 'unnumbered'}, {lifted.on}"
        source += "".join(f", {note}" for note in lifted.notes if note.startswith("with "))
        asks = "" if lifted.what else "its name"
        if lifted.asks:  # the page tells the name that the file beside the table holds
            asks = f"{in_one_line(lifted.asks)} (it stands in {sidecar_name(t.file)}, too)"
        mark = f"  # CONFIRM: {asks}" if asks else ""
        yield f"    source: {scalar_text(source)}{mark}"
        yield from _reading_error(t, lifted)
    if t.parts.order:
        yield f"    order: {scalar_text(t.parts.order.name)}"
    other = _other_units(t, plan)
    if other:
        yield f"    units: {scalar_text(other)}  # as its header says; the measure has another"
    if t.tidy.missing:
        others = [mark for mark in t.tidy.missing if not is_plainly_none(mark)]
        told = in_one_line(", ".join(others[:4]))
        mark = f"  # CONFIRM: taken for no reading: {told}; is it so?" if others else ""
        yield f"    missing: {scalar_text(list(t.tidy.missing))}{mark}"
    if t.apart(plan.tables[0]):
        own: dict[str, Any] = {"each": _each(t.parts), "count": len(t.parts.item.distinct)}
        if t.parts.counts_once:
            own["group"] = t.parts.counts_once.name
        yield f"    tested: {scalar_text(own)}  # CONFIRM: others than in the first table"
    use = next((o.parts.use for o in plan.tables if o.parts.use), None)
    if t.parts.use and use and t.parts.use.name != use.name:
        mark = f"  # CONFIRM: {asks}" if (asks := _unsure(t.parts.use)) else ""
        yield f"    use: {scalar_text(_use(t.parts.use))}{mark}"


def _filled(t: TablePlan) -> str:
    """A mark for cells that stood empty in the sheet: no gap is filled without one."""
    told = []
    for column in t.tidy.columns:
        rows = [f"{position + 2}" for position in column.empty]
        if rows:
            shown = ", ".join(rows[:6]) + (", …" if len(rows) > 6 else "")
            told.append(f"{column.name} in rows {shown}")
    asks = [f"filled from the row above it: {'; '.join(told)}"] if told else []
    asks += [f"{c.name}: {c.asks}" for c in t.tidy.columns if c.tick]
    whats: dict[str, list[str]] = {}
    for guess in t.tidy.guesses:
        if guess.at_table:
            whats.setdefault(guess.why, []).append(guess.what)
    asks += [f"{'; '.join(what)}: {why}" for why, what in whats.items()]
    return f"  # CONFIRM: {in_one_line('; '.join(asks))}" if asks else ""


def _reading_error(t: TablePlan, lifted: LiftedFrom) -> Iterator[str]:
    """The error of reading the chart, for the measure it is the largest of."""
    names = {c.name: lifted.reading_error.get(c.header.written) for c in t.parts.measures}
    known = [error for error in names.values() if error]
    if len(known) == 1:
        shared = [lifted.axis_error.get(c.header.written) for c in t.parts.measures]
        part = next((f"; {s:.2g} of it shared by all" for s in shared if s), "")
        yield f"    reading_error: {known[0]:.2g}  # half-width, as it was read{part}"


def _other_units(t: TablePlan, plan: Plan) -> dict[str, str]:
    """Measures that this file has in another unit than the study says them in."""
    said = {measure.name: measure.unit for measure in plan.measures}
    return {
        column.name: column.header.unit
        for column in t.parts.measures
        if column.header.unit and column.header.unit != said[column.name]
    }


def _figures(proposals: tuple[Proposal, ...]) -> Iterator[str]:
    yield "# Each figure answers one question."
    if not proposals:
        yield "figures: []  # CONFIRM: nothing here could be drawn yet"
        return
    yield "figures:"
    for p in (p for p in proposals if p.figure):
        yield from _entry(p.figure, {})
        yield "    # say: …      a word of your own about it"


def _claims(proposals: tuple[Proposal, ...]) -> Iterator[str]:
    yield "# What the report says, sentence by sentence. A draft cannot know: it asks of each"
    yield "# measure whether anything is there at all. Put the report's words, and a direction:"
    yield "# up or down for a change, higher or lower for a difference (a against b), positive or"
    yield "# negative for two measures that go together."
    claims = [p.claim for p in proposals if p.claim]
    if not claims:
        yield "claims: []  # CONFIRM: add what the report says, with a test"
        return
    yield "claims:"
    for claim in claims:
        said: dict[str, Any] = {"id": claim["id"], "report_says": UNQUOTED}
        if claim is proposals[0].claim:  # the study's question is the one it asks
            said["answers_question"] = True
        yield from _entry({**said, **claim}, {"report_says": "the report's own sentence"})


def _entry(keys: dict[str, Any], confirm: dict[str, str]) -> Iterator[str]:
    for i, (key, value) in enumerate(keys.items()):
        mark = f"  # CONFIRM: {confirm[key]}" if key in confirm else ""
        said = "yes" if value is True else scalar_text(value)
        yield f"  {'- ' if i == 0 else '  '}{key}: {said}{mark}"


def _more() -> Iterator[str]:
    yield ""
    yield "# Also possible: rule, stated, questions, advice, edition, corrections."
    yield "# The page how/study-yaml of a published site explains every key."
    yield from _YOURS


#: What an author adds in their own name; none of it is ever told as a finding.
_YOURS = (
    "",
    "# What others say goes among the claims too: `said_by: lanes` (or rule, author, viewers, or",
    "# {other: a letter}) with `says:` in place of `report_says:`; each is told as what it is.",
    "# What is yours, beside any `say`, and never a finding:",
    "#   like: {what: …, stops: …}     an everyday comparison, and where it stops being true",
    "#   guess: …     opinion: …       what you guess, what you think",
    "# On a figure: `walk: yes` tells it one by one; `pair: [one, other]` sets two side by side.",
    "# opening: {hook: …, running_question: …}      your first words, a question kept open",
    "# ending: {answered_by: claim-id, outro: …, next: …, request: …}      your last",
)
