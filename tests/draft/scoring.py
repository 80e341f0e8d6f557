"""How much of a messy sheet `draft` reads rightly, held against what is written beside the sheet.

Counted are columns (is each what it is?), rows (are there as many, with the values that must stand
in them, and no totals among them?), and what is wrong without a word: a column or a table that is
wrong and of which no guess says "please check".
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from ruamel.yaml import YAML

from explainer.draft.draft import DraftedStudy, draft_from
from explainer.draft.parts import Parts
from explainer.draft.proposals import TablePlan
from explainer.errors import ExplainerError

CORPUS = Path(__file__).parent / "corpus"
TERMS = {"total hook": "board", "cover roughness": "microinch", "hardness": "Shore D",
         "ball speed": "mph", "rev rate": "rpm", "entry angle": "degree"}  # fmt: skip


def find_term(word: str) -> tuple[str, str] | None:
    return (word, TERMS[word]) if word in TERMS else None


@dataclass
class Score:
    """What came of one sheet (or of several added up)."""

    sheets: int = 1
    columns: int = 0
    columns_right: int = 0
    rows: int = 0
    rows_right: int = 0
    wrong: list[str] = field(default_factory=list)
    silent: list[str] = field(default_factory=list)
    unsaid: list[str] = field(default_factory=list)

    def add(self, other: Score) -> None:
        for name in ("sheets", "columns", "columns_right", "rows", "rows_right"):
            setattr(self, name, getattr(self, name) + getattr(other, name))
        self.wrong += other.wrong
        self.silent += other.silent
        self.unsaid += other.unsaid

    def __str__(self) -> str:
        return (
            f"{self.sheets} sheets: {self.columns_right} of {self.columns} columns right "
            f"({100 * self.columns_right / self.columns:.0f}%), {self.rows_right} of {self.rows} "
            f"rows ({100 * self.rows_right / self.rows:.0f}%), {len(self.silent)} silently wrong, "
            f"{len(self.unsaid)} texts unsaid"
        )


def sheets(half: str) -> list[dict[str, Any]]:
    """What should be said of each sheet of a part of the corpus."""
    return list(YAML(typ="safe").load((CORPUS / half / "said.yaml").read_text("utf-8")))


def score(half: str, told: dict[str, Any]) -> Score:
    """One sheet, drafted and held against what is told of it."""
    total = Score()
    tables = [(t, int(_all(t["rows"])[0])) for t in told["tables"]]
    total.columns = sum(len(t["columns"]) for t, _ in tables)
    total.rows = sum(n for _, n in tables)
    sheet = told["sheet"]
    try:
        draft = draft_from("sheet", [CORPUS / half / sheet], find_term)
    except ExplainerError as fault:  # it is said, so nothing is silent: but nothing is right
        total.wrong.append(f"{sheet}: {fault}")
        return total
    assert draft.plan is not None
    left = list(draft.plan.in_order)
    for n, (table, rows) in enumerate(tables, 1):
        if not left:
            total.wrong.append(f"{sheet}: table {n} was not found")
            if not _asked(draft, "table"):
                total.silent.append(f"{sheet}: table {n} was not found")
            continue
        _one_table(f"{sheet} table {n}", table, rows, left.pop(0), draft, total)
    for extra in left:
        total.wrong.append(f"{sheet}: a table that is none: {extra.name}")
        total.silent.append(f"{sheet}: a table that is none: {extra.name}")
    heard = "\n".join(map(str, draft.guesses)) + draft.files["study.yaml"].decode()
    total.unsaid += [f"{sheet}: {text}" for text in told.get("says", ()) if str(text) not in heard]
    return total


def _one_table(
    where: str, told: dict[str, Any], rows: int, found: TablePlan, draft: DraftedStudy, total: Score
) -> None:
    for head, role in told["columns"].items():
        answers = [str(r) for r in _all(role)]
        head = str(head)
        if any(_is(found, head, answer, draft) for answer in answers):
            total.columns_right += 1
            continue
        said = f"{where}: {head} is not {' or '.join(answers)} but {_role(found, head)}"
        total.wrong.append(said)
        if not _asked(draft, head) and not _asked(draft, _name(found, head)):
            total.silent.append(said)
    faults = list(_row_faults(told, found))
    got = len(found.tidy.columns[0].cells)
    if faults:
        total.wrong += [f"{where}: {fault}" for fault in faults]
        if not _asked(draft, found.tidy.original):
            total.silent += [f"{where}: {fault}" for fault in faults]
    if not any("no row" in f or "in a row" in f for f in faults):
        total.rows_right += max(0, rows - (min(abs(got - n) for n in _all(told["rows"]))))


def _row_faults(told: dict[str, Any], found: TablePlan) -> Iterator[str]:
    cells = list(zip(*(c.cells for c in found.tidy.columns), strict=True))
    if len(cells) not in _all(told["rows"]):
        yield f"{len(cells)} rows and not {told['rows']}"
    for row in told.get("has", ()):
        if not any(all(_stands(value, there) for value in row) for there in cells):
            yield f"no row {row}"
    for text in told.get("lacks", ()):
        if any(text in cell for there in cells for cell in there):
            yield f"{text} in a row"
    measures = found.parts.measures
    gaps = sum(1 for m in measures for cell in m.cells if not _number(cell))
    if "gaps" in told and gaps != told["gaps"]:
        yield f"{gaps} gaps and not {told['gaps']}"


def _stands(value: Any, cells: tuple[str, ...]) -> bool:
    if isinstance(value, int | float):
        return any(_number(c) and abs(float(c) - value) < 1e-9 for c in cells)
    return str(value) in cells


def _number(cell: str) -> bool:
    try:
        return math.isfinite(float(cell))
    except ValueError:
        return False


def _all(value: Any) -> list[Any]:
    return list(value) if isinstance(value, list) else [value]


def _column(table: TablePlan, head: str):
    def fits(written: str) -> bool:
        return written.casefold() == head.casefold() or written.startswith(head + " ")

    return next((c for c in table.tidy.columns if fits(c.header.written)), None)


def _name(table: TablePlan, head: str) -> str:
    column = _column(table, head)
    return column.name if column is not None else head


def _role(table: TablePlan, head: str) -> str:
    column = _column(table, head)
    if column is None:
        return "gone"
    parts: Parts = table.parts
    for role in ("item", "use", "order", "operator", "group", "condition"):
        if getattr(parts, role) is not None and getattr(parts, role).name == column.name:
            return role
    if parts.counts and column.name in {c.name for c in parts.counts}:
        return "counts"
    if column.name in {c.name for c in parts.measures}:
        return f"measure {column.header.unit or '?'}"
    return "carried"


def _is(table: TablePlan, head: str, answer: str, draft: DraftedStudy) -> bool:
    kind, _, rest = answer.partition(" ")
    role, parts = _role(table, head), table.parts
    conditions = [c.header.written for c in parts.conditions]
    found = {
        "measure": role == answer or (rest == "?" and role == "counts"),
        "strikes": head in parts.strikes,
        "asked": _asked(draft, head),
        "word": role in ("group", "condition", "carried"),
        "out": role in ("gone", "carried"),
        "condition": role in ("group", "condition") or head in conditions,
        "path": parts.path is not None and head in [c.header.written for c in parts.path],
        "item": role == "item" or (table.tidy.wide and head in parts.item.cells),
    }
    if kind.startswith("wide"):
        return table.tidy.wide and _is_wide(table, kind, rest)
    return found.get(kind, role == kind)


def _is_wide(table: TablePlan, kind: str, rest: str) -> bool:
    """Whether a column of the sheet became rows, at the checkpoint, number or condition it says."""
    parts = table.parts
    if kind == "wide-cond":
        return rest in [c.casefold() for c in (parts.condition.cells if parts.condition else ())]
    column = parts.use if kind == "wide" else parts.order
    points = column.cells if column is not None else ()
    if "-" in rest and column is not None:  # a date: the checkpoint is counted in days from it
        points = tuple(cell for c in table.tidy.columns for cell in c.cells)
    return any(_stands(_plain(rest), (p,)) for p in points)


def _plain(text: str) -> Any:
    return float(text) if _number(text) else text


def _asked(draft: DraftedStudy, about: str) -> bool:
    """Whether some guess that mentions it is for the author to check."""
    return any(
        about.casefold() in f"{g.about} {g.what} {g.why}".casefold()
        for g in draft.guesses if g.sure == "please check"
    )  # fmt: skip
