"""The form of a study: its blocks as fields, from the same models that check the file.

A field has the name of its place in study.yaml.  What a form cannot show in one line (lists of
lists, paths) is left to the file itself.  A new kind of figure or claim needs nothing here.
"""

from __future__ import annotations

import csv
import re
import types
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path as FilePath
from typing import Any, Literal, Union, get_args, get_origin

from pydantic import BaseModel

from explainer.draft.written import scalar_text
from explainer.room.edit import CannotEdit, StudyText
from explainer.study.description import figures as figure_models
from explainer.study.description.rule import Advice, Claim, Question
from explainer.study.description.sources import Measure, Report, TableFile, Tested, Use
from explainer.study.description.study import Description
from explainer.study.description.tests import kinds as test_kinds
from explainer.study.persons import is_person
from explainer.study.yaml12 import Path, read, scalar

#: Texts that may run over several lines.
LONG = frozenset(["intro", "say", "report_says", "says", "plainly", "described", "do", "question",
                   "ask", "settled_by", "because", "data_source"])  # fmt: skip
#: What the name of a field ends in that holds the end of a window: no name of a key does.
LAST = "~last"
#: Keys that stay as they are here: names that other parts of the file refer to.
_FIXED = frozenset({"id", "kind"})
#: What stands in a new entry for a name that only its author knows.
OPEN = "…"
#: What the first form of a study shows of its own keys.
_ABOUT = ("title", "question", "invented", "intro", "topic", "data_source", "edition")
_SHOWN_VALUES = 60
#: So many different numbers in a column may have been set, like millilitres of oil.
_SET_VALUES = 12


@dataclass(frozen=True)
class FormField:
    """One value of the file in a form."""

    path: Path
    label: str
    help: str
    value: str
    """As it stands in the field."""
    kind: str = "text"
    """``text``, ``long``, ``choice``, ``window``, or ``raw``: as it is written in the file."""
    choices: tuple[str, ...] = ()
    suggest: tuple[str, ...] = ()
    needed: bool = False
    last: str = ""
    """Of a ``window``: where it ends; empty for a single checkpoint."""

    @property
    def name(self) -> str:
        return name_of(self.path)

    @property
    def last_name(self) -> str:
        """The name of the field for the end of a window."""
        return self.name + LAST


@dataclass(frozen=True)
class FieldGroup:
    """A block of the file with its fields."""

    path: Path
    title: str
    fields: tuple[FormField, ...]
    more: tuple[FormField, ...] = ()
    """Fields that are empty and rarely needed."""
    may_go: bool = False

    @property
    def name(self) -> str:
        return name_of(self.path)


def name_of(path: Path) -> str:
    """A path as the name of a field: ``claims/0/test/from``."""
    return "/".join(str(step).replace("~", "~0").replace("/", "~1") for step in path)


def path_of(name: str) -> Path:
    """The path that a field's name stands for."""
    steps = (step.replace("~1", "/").replace("~0", "~") for step in name.split("/"))
    return tuple(int(step) if is_place(step) else step for step in steps)


def is_place(text: str) -> bool:
    """Whether a text is the number of a place in a list or a file; none has so many digits that
    Python would not read them."""
    return text.isdecimal() and len(text) <= 12


@dataclass(frozen=True)
class Offered:
    """What names and values the study's files offer, to choose from."""

    measures: tuple[str, ...]
    tables: tuple[str, ...]
    figures: tuple[str, ...]
    columns: tuple[str, ...]
    values: Mapping[str, tuple[str, ...]]
    """The few values of a column, by its name."""


#: What is offered where a study's files were not looked at.
NOTHING_OFFERED = Offered((), (), (), (), {})


def known(source: StudyText, folder: FilePath) -> Offered:
    """From the file, and from the heads and the words of its tables."""
    columns: dict[str, None] = {}
    values: dict[str, tuple[str, ...]] = {}
    tables = source.at(("tables",)) or {}
    for table in tables.values() if isinstance(tables, dict) else ():
        file = str(table.get("file", "")) if isinstance(table, dict) else ""
        for column, words in _looked_through(folder, file):
            columns[column] = None
            values[column] = tuple(dict.fromkeys([*values.get(column, ()), *words]))
    figures = source.at(("figures",)) or []
    ids = (str(f.get("id")) for f in figures if isinstance(f, dict)) if figures else ()
    names = source.at(("measures",)) or {}
    return Offered(tuple(map(str, names)), tuple(map(str, tables)), tuple(ids), tuple(columns),
                 values)  # fmt: skip


def _looked_through(folder: FilePath, file: str) -> Iterator[tuple[str, list[str]]]:
    """The columns of a CSV file, each with its words, or its numbers, where those are few."""
    path = folder / file
    if not file or FilePath(file).name != file or path.is_symlink() or not path.is_file():
        return
    with path.open(encoding="utf-8-sig", errors="replace", newline="") as stream:
        rows = csv.reader(stream)
        head = next(rows, [])
        words: list[dict[str, None]] = [{} for _ in head]
        for _, row in zip(range(5000), rows, strict=False):
            for found, cell in zip(words, row, strict=False):
                if cell and len(found) <= _SHOWN_VALUES:
                    found[cell] = None
    for column, found in zip(head, words, strict=True):
        most = _SHOWN_VALUES if isinstance(scalar(next(iter(found), "")), str) else _SET_VALUES
        yield column, list(found) if len(found) <= most else []


# ---- groups of fields


def groups(source: StudyText, folder: FilePath) -> Mapping[str, tuple[FieldGroup, ...]]:
    """Every part of the form by the section it stands in."""
    offer = known(source, folder)

    def block(model: type[BaseModel], path: Path, title: str, **named: Any) -> FieldGroup:
        return _group(model, source, path, title, offer, **named)

    measures = source.at(("measures",))
    names = list(measures) if isinstance(measures, dict) else []
    tables = source.at(("tables",))
    about = block(Description, (), "The page", only=_ABOUT)
    found = {
        "about": (
            about,
            block(Report, ("report",), "The report that is explained"),
            block(Tested, ("tested",), "What was tested"),
            *((block(Use, ("use",), "What is counted as use"),) if source.at(("use",)) else ()),
        ),
        "measures": tuple(block(Measure, ("measures", n), str(n), may_go=True) for n in names),
        "tables": tuple(
            _table(source, block(TableFile, ("tables", t), str(t)), offer) for t in (tables or ())
        ) if isinstance(tables, dict) else (),
        "figures": tuple(_figures(source, offer)),
        "claims": tuple(_claims(source, offer)),
        "questions": tuple(_listed(Question, source, "questions", "ask", offer)),
        "advice": tuple(_listed(Advice, source, "advice", "do", offer)),
    }  # fmt: skip
    return found


def _table(source: StudyText, whole: FieldGroup, offer: Offered) -> FieldGroup:
    """A table's fields, with a field for each key of its own ``use``."""
    path = (*whole.path, "use")
    use = [
        replace(field, label=f"use in this table: {field.label}", needed=False)
        for key in ("column", "term", "unit")
        if (field := _field(source, (*path, key), Use.model_fields[key], offer)) is not None
    ]
    fields = tuple(f for f in whole.fields if f.path != path)
    more = tuple(f for f in whole.more if f.path != path)
    return replace(whole, fields=(*fields, *use), more=more)


def _figures(source: StudyText, offer: Offered) -> Iterator[FieldGroup]:
    for i, figure in enumerate(_entries(source, "figures")):
        model = figure_kinds().get(str(figure.get("kind")))
        if model is not None:
            title = f"{figure.get('id')}: {figure.get('kind')}"
            yield _group(model, source, ("figures", i), title, offer, may_go=True)


def _claims(source: StudyText, offer: Offered) -> Iterator[FieldGroup]:
    for i, claim in enumerate(_entries(source, "claims")):
        path: Path = ("claims", i)
        whole = _group(Claim, source, path, str(claim.get("id")), offer, may_go=True)
        test = claim.get("test")
        model = test_kinds().get(str(test.get("kind"))) if isinstance(test, dict) else None
        if model is None:
            yield whole
            continue
        held = _group(model, source, (*path, "test"), "", offer)
        fields = tuple(f for f in whole.fields if f.path != (*path, "test"))
        title = f"{whole.title}: {test['kind']}"
        yield FieldGroup(path, title, (*fields, *held.fields), (*whole.more, *held.more), True)


def _listed(
    model: type[BaseModel], source: StudyText, key: str, titled: str, offer: Offered
) -> Iterator[FieldGroup]:
    for i, entry in enumerate(_entries(source, key)):
        title = str(entry.get(titled) or f"{key} {i + 1}")[:60]
        yield _group(model, source, (key, i), title, offer, may_go=True)


def _entries(source: StudyText, key: str) -> list[Any]:
    found = source.at((key,))
    return [e if isinstance(e, dict) else {} for e in found] if isinstance(found, list) else []


def figure_kinds() -> dict[str, type[BaseModel]]:
    """Every figure's model by its kind."""
    models = get_args(get_args(figure_models.AnyFigure)[0])
    return {get_args(m.model_fields["kind"].annotation)[0]: m for m in models}


def _group(
    model: type[BaseModel], source: StudyText, path: Path, title: str, offer: Offered,
    only: Sequence[str] = (), may_go: bool = False,
) -> FieldGroup:  # fmt: skip
    shown: list[FormField] = []
    more: list[FormField] = []
    for key, info in model.model_fields.items():
        name = info.alias or key
        if name in _FIXED or (only and name not in only):
            continue
        field = _field(source, (*path, name), info, offer)
        if field is not None:
            often = field.value or field.needed or name in _OFTEN
            (shown if often else more).append(field)
    return FieldGroup(path, title, tuple(shown), tuple(more), may_go)


#: Keys that are worth a field from the start.
_OFTEN = frozenset(
    ["title", "question", "invented", "intro", "publisher", "date", "each", "count", "described",
     "term", "matters_from", "more_is", "less_is", "source", "say", "report_says", "plainly",
     "page", "key", "direction", "within", "only", "at_least", "answers_question", "do", "ask",
     "settled_by"]
)  # fmt: skip


def _field(source: StudyText, path: Path, info: Any, offer: Offered) -> FormField | None:
    """One key's field; None for what no single line can hold."""
    value, key = source.at(path), str(path[-1])
    kind, choices = _kind(info.annotation)
    help, needed = info.description or "", info.is_required()
    label = key.replace("_", " ")
    if key == "only":
        found = _only_choices(source, path, offer) if source.in_one_line(path) else ()
        now = source.written(path).strip()
        return FormField(path, label, help, now, "choice", found) if found else None
    if _is_window(info.annotation) and (ends := ends_of(value)) is not None:
        suggest = _suggestions(source, path, offer, window=True)
        return FormField(path, label, help, ends[0], "window", (), suggest, needed, ends[1])
    if isinstance(value, dict | list) or kind == "raw":
        if not source.in_one_line(path) or (value is None and not _of_names(info.annotation)):
            return None
        return FormField(path, label, help, source.written(path).strip(), "raw", needed=needed)
    said = "" if value is None or value == OPEN else _shown(value)
    if kind == "choice" and said in ("", *choices):
        return FormField(path, label, help, said, "choice", choices, needed=needed)
    suggest = _suggestions(source, path, offer)
    kind = "long" if key in LONG or "\n" in said.strip() else "text"
    return FormField(path, label, help, said.rstrip("\n"), kind, (), suggest, needed)


def _shown(value: Any) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return value if isinstance(value, str) else scalar_text(value)


def _is_window(annotation: Any) -> bool:
    """A checkpoint, or the first and the last of a window of them."""
    leaves = list(_leaves(annotation))
    pairs = [leaf for leaf in leaves if get_origin(leaf) is tuple]
    return float in leaves and any(
        [_bare(part) for part in get_args(pair)] == [float, float] for pair in pairs
    )


def ends_of(value: Any) -> tuple[str, str] | None:
    """A checkpoint or a window as its two fields show it; None for what is neither."""
    if isinstance(value, list):
        plain = len(value) == 2 and not any(isinstance(end, dict | list) for end in value)
        return (_shown(value[0]), _shown(value[1])) if plain else None
    return ("" if value is None or value == OPEN else _shown(value)).strip(), ""


def _only_choices(source: StudyText, path: Path, offer: Offered) -> tuple[str, ...]:
    """Each group, or set condition, that a claim or figure may be about alone, as it is written;
    what stands there comes first."""
    each, block = source.at(("tested", "each")), source.at(path[:-1])
    uses = [source.at((*at, "use", "column")) for at in
            ((), *(("tables", t) for t in source.at(("tables",)) or ()))]  # fmt: skip
    taken = {*offer.measures, *(each if isinstance(each, list) else [each]), *map(str, uses),
             *(str(block.get(key)) for key in ("by", "order", "repeat", "group")
               if isinstance(block, dict) and path[0] == "claims")}  # fmt: skip
    found = [
        scalar_text({column: scalar(word)}) for column, words in offer.values.items()
        if column not in taken and 2 <= len(words) <= _SET_VALUES for word in words
    ]  # fmt: skip
    now = source.written(path).strip()
    same = [one for one in found if now and _read_as(one) == source.at(path)]
    return (*([now] if now else ()), *(one for one in found if one not in same))


def _read_as(written: str) -> Any:
    return read(f"v: {written}\n".encode(), "").value["v"]


def _suggestions(
    source: StudyText, path: Path, offer: Offered, window: bool = False
) -> tuple[str, ...]:
    key = str(path[-1])
    if key in ("measure", "x", "y"):
        return offer.measures
    if key in ("table", "line_from"):
        return offer.tables
    if key == "figure":
        return offer.figures
    if key in ("a", "b", "first"):
        by = source.at((*path[:-1], "by"))
        return offer.values.get(by, ()) if isinstance(by, str) else ()
    if window:
        table = source.at((*path[:-1], "table"))
        own = source.at(("tables", table, "use", "column")) if isinstance(table, str) else None
        use = own or source.at(("use", "column"))
        return offer.values.get(use, ()) if isinstance(use, str) else ()
    columns = ("by", "within", "group", "operator", "repeat", "order", "over", "successes",
               "attempts", "column", "each", "distance", "board", "chosen_by")  # fmt: skip
    return offer.columns if key in columns else ()


def _kind(annotation: Any) -> tuple[str, tuple[str, ...]]:
    """How a value of a type is shown: as a choice, as text, or as it is written."""
    leaves = list(_leaves(annotation))
    words = tuple(w for leaf in leaves if get_origin(leaf) is Literal for w in get_args(leaf))
    if bool in leaves or (words and set(words) <= {"yes", "no"}):
        return "choice", ("yes", "no")
    if words and all(leaf is type(None) or get_origin(leaf) is Literal for leaf in leaves):
        return "choice", tuple(map(str, words))
    plain = (str, int, float, type(None))
    if all(leaf in plain or get_origin(leaf) is Literal for leaf in leaves):
        return "text", ()
    return ("text" if {float, str} & set(leaves) else "raw"), ()


def _of_names(annotation: Any) -> bool:
    """A list of names: short enough to type in one line."""
    return any(
        get_origin(leaf) is tuple and str in map(_bare, get_args(leaf))
        for leaf in _leaves(annotation)
    )


def _leaves(annotation: Any) -> Iterator[Any]:
    annotation = _bare(annotation)
    if get_origin(annotation) in (Union, types.UnionType):
        for inner in get_args(annotation):
            yield from _leaves(inner)
    else:
        yield annotation


def _bare(annotation: Any) -> Any:
    while hasattr(annotation, "__metadata__"):
        annotation = get_args(annotation)[0]
    return annotation


def stands(value: Any) -> str:
    """A plain value as it stands in a field."""
    return "" if value is None else _shown(value).strip()


# ---- a new entry, filled in as far as the study has just one answer


def started(
    model: Any, kind: str, source: StudyText, offer: Offered, sentence: str = ""
) -> dict[str, Any]:
    """A block with its kind and what it cannot be without, as far as the study has just one: its
    one measure or table, the one column of two words, the first and the last checkpoint."""
    measures, tables = source.at(("measures",)) or {}, source.at(("tables",)) or {}
    first = {"measure": measures, "y": measures, "table": tables}
    if "x" in model.model_fields:  # two that differ: only the author knows which
        del first["y"]
    given = {**_two_groups(source, offer), **_ends_of_use(source, offer)}
    entry: dict[str, Any] = {"kind": kind}
    for key, info in model.model_fields.items():
        name = info.alias or key
        if info.is_required() and name not in ("kind", "id"):
            entry[name] = next(iter(first.get(name, {})), given.get(name, OPEN))
    entry |= _two_sides(model, given)
    if kind == "mean-is":
        entry |= _number_said(sentence)
    return entry


#: The two ways a test may name what it holds against each other, where it takes either.
_WAYS = (("by", "a", "b"), ("from", "to"))


def _two_sides(model: Any, given: Mapping[str, Any]) -> dict[str, Any]:
    """Of a test that takes two groups or else two checkpoints: the first that there are."""
    optional = {i.alias or key for key, i in model.model_fields.items() if not i.is_required()}
    if not all(optional.issuperset(way) for way in _WAYS):
        return {}
    return next(({key: given[key] for key in way} for way in _WAYS if given.keys() >= set(way)), {})


def _two_groups(source: StudyText, offer: Offered) -> dict[str, Any]:
    """``by``, ``a`` and ``b`` where just one column sorts the rows into two by words."""
    each = source.at(("tested", "each"))
    taken = {*offer.measures, *(each if isinstance(each, list) else [each])}
    found = [
        (column, words) for column, words in offer.values.items()
        if column not in taken and len(words) == 2
        and all(isinstance(scalar(word), str) for word in words)
    ]  # fmt: skip
    if len(found) != 1:
        return {}
    [(column, words)] = found
    a, b = sorted(words, key=lambda word: word.startswith("not "))  # `clinic` against `not clinic`
    return {"by": column, "a": a, "b": b}


def _ends_of_use(source: StudyText, offer: Offered) -> dict[str, Any]:
    """``from`` and ``to``: the first and the last checkpoint."""
    column = source.at(("use", "column"))
    words = offer.values.get(column, ()) if isinstance(column, str) else ()
    read = (scalar(word) for word in words)
    points = sorted({p for p in read if isinstance(p, int | float)})
    return {"from": points[0], "to": points[-1]} if len(points) > 1 else {}


def _number_said(sentence: str) -> dict[str, float]:
    """The one number of a sentence about an average, and on which side of it.  Raises CannotEdit
    where it has none or several."""
    said = re.findall(r"(?<![\w.])\d+(?:\.\d+)?(?![\w]|\.\d)", sentence)
    if len(said) != 1:
        raise CannotEdit(f"found {len(said) or 'no'} number{'s' * (len(said) != 1)} in the "
                         "sentence, expected the one an average is held against, such as 170; "
                         "nothing was added")  # fmt: skip
    number = float(said[0])
    number = int(number) if number.is_integer() else number
    if re.search(r"\b(at least|or more|or better|no less than|reach)\b", sentence, re.IGNORECASE):
        return {"at_least": number}
    if re.search(r"\b(at most|or less|or fewer|no more than)\b", sentence, re.IGNORECASE):
        return {"at_most": number}
    return {"value": number}


def samples_of(people: bool) -> dict[str, str]:
    """A sentence for each kind of claim; of people, where these count, if any is said of them."""
    return {kind: _sample(model, people) for kind, model in test_kinds().items()
            if model.of_people or not people}  # fmt: skip


def _sample(model: Any, people: bool) -> str:
    """A sample sentence of a kind of claim, as reports say it: of people, where these are some."""
    samples = model.sentences
    of_balls = samples[0][0] if samples else ""
    return (model.of_people if people else of_balls) or (model.__doc__ or "").strip()


def of_people(source: StudyText) -> bool:
    """Whether what counts as one is a person: as the file says, else by the word for one."""
    said, each = source.at(("tested", "people")), source.at(("tested", "each"))
    if said in ("yes", "no", True, False):
        return said in ("yes", True)
    return is_person(str(each[-1] if isinstance(each, list) and each else each or "ball"))
