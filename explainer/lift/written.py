"""What was lifted as files, and claims to confirm; and what moved since it was lifted before."""

from __future__ import annotations

import csv
import io
import json
import math
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from difflib import SequenceMatcher
from hashlib import sha256
from pathlib import Path
from typing import Any

from explainer.errors import UsageError
from explainer.lift.axes import number
from explainer.study.description.lifted import ENDING, MOST_POINTS, LiftedFrom, sidecar_name
from explainer.study.description.tests import kinds
from explainer.study.files import MAX_CSV_BYTES, FileFault, read_file
from explainer.study.lifted import MAX_ORIGIN_BYTES, lifted_of, origin_text

CLAIMS = "claims.yaml"
#: Points: half of what makers round marks to, and what symmetric marks may be off.
PLACED = 0.06


@dataclass(frozen=True)
class LiftedPart:
    """One table or chart as two files, and the line that says so."""

    name: str
    csv: bytes
    origin: bytes
    says: str


@dataclass(frozen=True)
class ReportFile:
    """The report: its name, content hash and number of pages."""

    name: str
    sha256: str
    pages: int

    @property
    def record(self) -> dict[str, Any]:
        return {"file": self.name, "sha256": self.sha256, "pages": self.pages}


def table_part(
    table: Mapping[str, Any], report: ReportFile, day: str, taken: set[str]
) -> LiftedPart:
    """A printed table, cell by cell as printed."""
    rows = [[str(c) for c in row] for row in table["cells"]]
    name = part_name(table["label"] or "table", int(table["page"]), taken)
    data = _csv(rows)
    label = table["label"] or "A table"
    origin = {
        "file": name, "csv_sha256": sha256(data).hexdigest(), "report": report.record,
        "page": int(table["page"]), "to_page": table.get("to_page"),
        "what": table["label"] or None,
        "caption": _cut(table["caption"]), "place": _place(table["box"]), "method": "table",
        "read": day, "notes": [table["joined"]] if table.get("joined") else None,
    }  # fmt: skip
    says = f"page {table['page']}: {label}, {len(rows)} rows of {len(rows[0])} cells"
    says += f"; {table['joined']}" if table.get("joined") else ""
    return LiftedPart(name, data, origin_text(origin), says)


def chart_part(
    chart: Mapping[str, Any], report: ReportFile, day: str, taken: set[str]
) -> LiftedPart:
    """A drawn chart: a row for each mark, its values rounded to what the drawing can tell."""
    columns = chart_columns(chart)
    errors, shared = chart_errors(chart, columns)
    rows = [columns.header, *columns.rows(chart, errors)]
    name = part_name(chart["label"] or "chart", int(chart["page"]), taken)
    data = _csv(rows)
    label = chart["label"] or "A chart"
    origin = {
        "file": name, "csv_sha256": sha256(data).hexdigest(), "report": report.record,
        "page": int(chart["page"]), "what": chart["label"] or None,
        "caption": _cut(chart["caption"]), "place": _place(chart["area"]), "method": "drawing",
        "read": day, "reading_error": errors, "axis_error": shared, "axes": chart_axes(chart),
        "series": chart_series(chart, columns, errors), "notes": list(chart["notes"]) or None,
    }  # fmt: skip
    marks = sum(len(s["points"]) for s in chart["series"])
    off = "; ".join(f"{k} give or take {v:.2g}" for k, v in errors.items())
    count = len(chart["series"])
    says = f"page {chart['page']}: {label}, {count} series, {marks} marks"
    says += f"; {off}" if off else ""
    text = origin_text(origin)
    asks = lifted_of(name, text).asks
    return LiftedPart(name, data, text, f"{says}; {asks}" if asks else says)


@dataclass(frozen=True)
class ChartColumns:
    """Names of the columns of a chart's CSV: series (where there are several), x, y, bar ends."""

    series: bool
    x: str
    y: str
    bars: str
    """The sides that have error bars: x, y, both or none."""

    @property
    def _ends(self) -> list[tuple[str, str, str]]:
        """(column, side, key) of each end of an error bar; of x only where there are such."""
        found = []
        if "x" in self.bars:
            found += [(f"{self.x} low", "x", "left"), (f"{self.x} high", "x", "right")]
        if "y" in self.bars:
            found += [(f"{self.y} low", "y", "low"), (f"{self.y} high", "y", "high")]
        return found

    @property
    def header(self) -> list[str]:
        ends = [column for column, _, _ in self._ends]
        return [*(["series"] if self.series else []), self.x, self.y, *ends]

    def rows(self, chart: Mapping[str, Any], errors: Mapping[str, float]) -> Iterator[list[str]]:
        for n, series in enumerate(chart["series"], start=1):
            name = series["name"] or f"series {n}"
            for point in series["points"]:
                keys = [("x", "x"), ("y", "y"), *((side, key) for _, side, key in self._ends)]
                cells = [
                    digits(point[key], self.near(chart, side, point[key], errors))
                    for side, key in keys
                ]
                yield ([name] if self.series else []) + cells

    def near(
        self, chart: Mapping[str, Any], side: str, value: Any, errors: Mapping[str, float]
    ) -> float:
        """The error at a value: on a log scale it grows with the value."""
        axis = chart[side]
        error = errors.get(self.x if side == "x" else self.y, 0.0)
        if axis is None or not isinstance(value, int | float):
            return error
        if axis["scale"] == "log":
            points = PLACED + float(axis["error"])
            return abs(value) * abs(10 ** (points * float(axis["slope"])) - 1)
        return error


def chart_columns(chart: Mapping[str, Any]) -> ChartColumns:
    """What the columns of a chart are called: the titles of its axes where it has any."""
    named = any(s["name"] for s in chart["series"])
    x = _column(chart["x_title"]) or ("x" if chart["x"] else "name")
    y = _column(chart["y_title"]) or ("y" if chart["y"] else "name")
    if x == y:
        x, y = f"{x} (x)", f"{y} (y)"
    points = [p for s in chart["series"] for p in s["points"]]
    bars = "".join(
        side for side, end in (("x", "left"), ("y", "low"))
        if any(p[end] is not None for p in points)
    )  # fmt: skip
    return ChartColumns(named or len(chart["series"]) > 1, x, y, bars)


def chart_errors(
    chart: Mapping[str, Any], columns: ChartColumns
) -> tuple[dict[str, float], dict[str, float]]:
    """Per column, how far a single value may be off in all, and the part that all share.

    On a log scale both are those at the geometric middle of the axis.
    """
    errors: dict[str, float] = {}
    shared: dict[str, float] = {}
    for side, name in (("x", columns.x), ("y", columns.y)):
        axis = chart[side]
        if axis is None:
            continue
        errors[name] = _size(axis, PLACED + float(axis["error"]))
        shared[name] = _size(axis, float(axis["error"]))
    return errors, shared


def _size(axis: Mapping[str, Any], points: float) -> float:
    """Points along an axis in its unit, to two digits."""
    slope = abs(float(axis["slope"]))
    if axis["scale"] == "log":
        ends = [float(axis["ticks"][i][1]) for i in (0, -1)]
        size = math.sqrt(ends[0] * ends[1]) * (10 ** (points * slope) - 1)
    else:
        size = slope * points
    return float(f"{size:.2g}")


def chart_axes(chart: Mapping[str, Any]) -> dict[str, Any]:
    """The axes as the origin keeps them: their values at the ends of the plot and at ticks."""
    left, top, right, bottom = chart["area"]
    found = {}
    for side, ends in (("x", (left, right)), ("y", (bottom, top))):
        axis = chart[side]
        if axis is None:
            continue
        low, high = (_value(axis, end) for end in ends)
        found[side] = {
            "title": chart[f"{side}_title"] or None, "scale": axis["scale"],
            "ticks": sorted(float(t[1]) for t in axis["ticks"]),
            "low": float(f"{low:.6g}"), "high": float(f"{high:.6g}"),
        }  # fmt: skip
    return found


def _value(axis: Mapping[str, Any], position: float) -> float:
    value = float(axis["offset"]) + float(axis["slope"]) * position
    return float(10**value) if axis["scale"] == "log" else value


def chart_series(
    chart: Mapping[str, Any], columns: ChartColumns, errors: Mapping[str, float]
) -> list[dict[str, Any]]:
    """The marks as the origin keeps them, rounded as in the CSV file."""
    left = MOST_POINTS
    found = []
    for series in chart["series"]:
        points = [
            [_kept(p["x"], columns.near(chart, "x", p["x"], errors)),
             _kept(p["y"], columns.near(chart, "y", p["y"], errors))]
            for p in series["points"][:left]
        ]  # fmt: skip
        left -= len(points)
        found.append({"name": series["name"], "sort": series["sort"], "points": points})
    return found


def _kept(value: Any, error: float) -> float | str:
    return value if isinstance(value, str) else float(digits(value, error))


def digits(value: Any, error: float) -> str:
    """A value to the digit that its error leaves standing, and one more."""
    if value is None:
        return ""
    if isinstance(value, str):
        return value
    number = float(value)
    if not error or not math.isfinite(number):
        return f"{number:.6g}"
    places = max(0, min(12, 1 - math.floor(math.log10(error))))
    text = f"{number:.{places}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text in ("-0", "") else text


def _column(title: str) -> str:
    return " ".join(title.split())[:100]


def _csv(rows: Sequence[Sequence[str]]) -> bytes:
    out = io.StringIO(newline="")
    csv.writer(out, lineterminator="\n").writerows(rows)
    return out.getvalue().encode("utf-8")


def part_name(label: str, page: int, taken: set[str]) -> str:
    """``figure-4-page-8.csv``, another number behind it where that is taken."""
    stem = re.sub(r"[^a-z0-9]+", "-", f"{label} page {page}".lower()).strip("-")
    name, number = stem, 2
    while name in taken:
        name, number = f"{stem}-{number}", number + 1
    taken.add(name)
    return f"{name}.csv"


def _cut(text: str) -> str | None:
    return (text if len(text) <= 300 else text[:299] + "…") or None


def _place(box: Sequence[float]) -> list[float]:
    return [round(float(v), 1) for v in box]


def origin_file(part: LiftedPart) -> str:
    return sidecar_name(part.name)


# --- claims ----------------------------------------------------------------------------------

#: Parameters each kind cannot do without, and what stands for them until somebody says.
_NEEDS: dict[str, dict[str, str]] = {
    "change": {"measure": "MEASURE", "from": "0", "to": "LAST"},
    "no-change": {"measure": "MEASURE", "from": "0", "to": "LAST"},
    "difference": {"measure": "MEASURE", "by": "COLUMN", "a": "ONE", "b": "OTHER"},
    "association": {"x": "MEASURE", "y": "MEASURE"},
    "no-association": {"x": "MEASURE", "y": "MEASURE", "margin": "0.5"},
    "repeatability": {"measure": "MEASURE", "operator": "COLUMN", "repeat": "COLUMN"},
    "break-in": {"measure": "MEASURE", "by": "CHECKPOINT", "from": "0", "to": "LAST"},
    "rate-difference": {"successes": "COLUMN", "attempts": "COLUMN", "by": "COLUMN", "a": "ONE",
                        "b": "OTHER"},
    "limit": {"measure": "MEASURE", "at_least": "NUMBER"},
    "trend": {"measure": "MEASURE", "over": "COLUMN", "direction": "any"},
}  # fmt: skip


#: What stands for a parameter that every kind calls alike.
_CAPITALS = {"measure": "MEASURE", "x": "MEASURE", "y": "MEASURE", "by": "COLUMN", "a": "ONE",
             "b": "OTHER", "from_": "0", "to": "LAST", "because": "WHY"}  # fmt: skip


def claims_text(found: Sequence[Mapping[str, Any]], report: str) -> str:
    """Sentences as stubs for ``claims:``, each marked to confirm."""
    lines = [
        f"# Sentences of {report} that sound like claims. They were found by their words alone:",
        "# keep those the report stands on, put your own words beside each, and look at each test.",
        "# What is in capitals is for you to say. Kinds of test: the page how/study-yaml.",
        "claims:",
    ]
    lines += [line for n, s in enumerate(found, start=1) for line in stub(s, n)]
    if not found:
        lines[-1] = "claims: []"
    return "\n".join(lines) + "\n"


def stub(sentence: Mapping[str, Any], number: int) -> Iterator[str]:
    """One sentence as a claim."""
    kind = str(sentence["kind"])
    yield f"  - id: page-{sentence['page']}-{number}"
    yield f"    report_says: {json.dumps(sentence['text'], ensure_ascii=False)}"
    yield f"    page: {sentence['page']}"
    if sentence["is_key"]:
        yield "    key: yes  # CONFIRM: it stands among the key findings"
    yield "    plainly: IN EVERYDAY WORDS  # CONFIRM"
    because = f"for its words “{sentence['because']}”"
    others = [f"`{other}`" for other in sentence.get("others", ())]
    because += f"; or {' or '.join(others)}" if others else ""
    if not kind:
        yield f"    test: {{kind: not-testable, because: WHY}}  # CONFIRM: no kind fits; {because}"
        return
    given = {**needed(kind), **{k: str(v) for k, v in sentence["parameters"].items()}}
    if "at_most" in given and given.get("at_least") == "NUMBER":
        del given["at_least"]
    shown = ", ".join(f"{k}: {_number(v)}" for k, v in given.items())
    yield f"    test: {{kind: {kind}, {shown}}}  # CONFIRM: {because}"


def needed(kind: str) -> dict[str, str]:
    """What a kind cannot do without, each key with the capitals that stand for it."""
    if kind in _NEEDS:
        return _NEEDS[kind]
    fields = kinds()[kind].model_fields
    return {
        field.alias or name: _CAPITALS.get(name, name.upper())
        for name, field in fields.items() if field.is_required() and name != "kind"
    }  # fmt: skip


def _number(text: str) -> str:
    return text.removesuffix(".0")


# A report read again: what moved since it was lifted before.

#: Moved cells of one file that are named one by one.
NAMED = 12


@dataclass(frozen=True)
class EarlierPart:
    """A file lifted before: where from, and its rows as they were printed."""

    file: str
    origin: LiftedFrom
    data: bytes


@dataclass(frozen=True)
class MovedPart:
    """One file then and now; ``now`` is None where nothing like it was found again."""

    then: EarlierPart
    now: LiftedPart | None
    moves: tuple[str, ...]


def earlier_parts(folder: Path) -> list[EarlierPart]:
    """What was lifted into a folder, or into the study it is.  Raises UsageError."""
    if not folder.is_dir():
        raise UsageError(f"no folder {folder}; expected one that explainer lift or draft made")
    found = []
    for path in sorted(folder.glob(f"*{ENDING}")):
        name = path.name.removesuffix(ENDING) + ".csv"
        try:
            origin = lifted_of(name, read_file(folder, path.name, MAX_ORIGIN_BYTES))
            kept = folder / "originals"
            at = kept if (kept / name).is_file() else folder
            found.append(EarlierPart(name, origin, read_file(at, name, MAX_CSV_BYTES)))
        except FileFault as fault:
            raise UsageError(f"{path}: {fault.found}; expected {fault.expected}") from None
    if not found:
        raise UsageError(f"nothing in {folder} was lifted from a report (no file *{ENDING})")
    return found


def moved(earlier: Sequence[EarlierPart], parts: Sequence[LiftedPart]) -> list[MovedPart]:
    """Each earlier file with its likeness in the new reading, and what differs between them."""
    old = [(then.origin, _rows(then.data)[:1]) for then in earlier]
    new = [(lifted_of(now.name, now.origin), _rows(now.csv)[:1]) for now in parts]
    pairs = sorted(
        (away, i, j) for i, then in enumerate(old) for j, now in enumerate(new)
        if (away := _away(then, now)) is not None
    )  # fmt: skip
    held: dict[int, int] = {}
    for _, i, j in pairs:  # the surest first, so that none takes what another surely is
        if i not in held and j not in held.values():
            held[i] = j
    found = []
    for i, then in enumerate(earlier):
        now = parts[held[i]] if i in held else None
        found.append(MovedPart(then, now, tuple(_moves(then, now)) if now is not None else ()))
    return found


_Known = tuple[LiftedFrom, list[list[str]]]
"""Where a part came from, and its head."""


def _away(then: _Known, now: _Known) -> tuple[bool, int, float] | None:
    """How far a part is from an earlier one that the report calls the same: by its head, then its
    page, then its place there; None for what is called otherwise."""
    (old, old_head), (new, new_head) = then, now
    if old.what != new.what or (old.method == "table") != (new.method == "table"):
        return None
    apart = math.dist(old.place, new.place) if old.place and new.place else 0.0
    return old_head != new_head, abs(new.page - old.page), apart


def _rows(data: bytes) -> list[list[str]]:
    return list(csv.reader(io.StringIO(data.decode("utf-8", "replace"), newline="")))


def _moves(then: EarlierPart, now: LiftedPart) -> Iterator[str]:
    before, after = _rows(then.data), _rows(now.csv)
    if len(before) != len(after):
        yield f"{len(before) - 1} rows then, {len(after) - 1} now"
    heads = _heads(before)
    old_errors = then.origin.reading_error
    new_errors = lifted_of(now.name, now.origin).reading_error
    for n, old, new in _paired(before, after):
        if old is None or new is None:
            said = ", ".join(filter(None, (old or new or [])[:3]))
            yield f"row {n}, {said}: {'new' if old is None else 'no longer there'}"
            continue
        for i, (a, b) in enumerate(zip(old, new, strict=False)):
            name = before[0][i] if i < len(before[0]) else ""
            error = old_errors.get(name, 0.0) + new_errors.get(name, 0.0)
            if a != b and not _within(a, b, error):
                column = heads[i] if i < len(heads) and heads[i] else i + 1
                yield f"row {n}, {column}: {a or 'nothing'} then, {b or 'nothing'} now"


def _paired(
    before: Sequence[list[str]], after: Sequence[list[str]]
) -> Iterator[tuple[int, list[str] | None, list[str] | None]]:
    """Rows then and now, numbered from 1 as they stand now (then, where they are gone): in order
    where there are as many; else rows that are alike hold the others in place."""
    if len(before) == len(after):
        for n, (old, new) in enumerate(zip(before, after, strict=True), start=1):
            yield n, old, new
        return
    alike = SequenceMatcher(None, [*map(tuple, before)], [*map(tuple, after)], autojunk=False)
    for what, i, i_end, j, j_end in alike.get_opcodes():
        shared = min(i_end - i, j_end - j) if what != "equal" else 0
        for k in range(shared):
            yield j + k + 1, before[i + k], after[j + k]
        if what != "equal":
            for k in range(i + shared, i_end):
                yield k + 1, before[k], None
            for k in range(j + shared, j_end):
                yield k + 1, None, after[k]


def _heads(rows: Sequence[list[str]]) -> list[str]:
    """What each column is called: a head in two rows as one, the upper goes on to the right."""
    head = list(rows[0]) if rows else []
    if len(rows) < 3 or all(head) or any(number(cell) is not None for cell in rows[1]):
        return head
    over, named = "", []
    for upper, lower in zip(head, rows[1], strict=False):
        over = upper or over
        named.append(" ".join(filter(None, (over, lower))))
    return named


def _within(a: str, b: str, error: float) -> bool:
    """Two readings of one mark that differ by no more than both readings' errors."""
    try:
        return error > 0 and abs(float(a) - float(b)) <= error
    except ValueError:
        return False


def told(part: MovedPart) -> Iterator[str]:
    """Lines that say what became of one file."""
    name = part.then.origin.what or f"page {part.then.origin.page}"
    if part.now is None:
        yield f"{part.then.file}: {name} was not found again"
    elif not part.moves:
        yield f"{part.then.file}: {name} is as it was"
    else:
        yield f"{part.then.file}: {name}: {len(part.moves)} moved"
        yield from (f"  {move}" for move in part.moves[:NAMED])
        if len(part.moves) > NAMED:
            yield f"  and {len(part.moves) - NAMED} more"
