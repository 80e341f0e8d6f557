"""A report read again: what moved since it was lifted before."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from difflib import SequenceMatcher
from pathlib import Path

from explainer.errors import UsageError
from explainer.lift.axes import number
from explainer.lift.written import LiftedPart
from explainer.study.description.lifted import ENDING, LiftedFrom
from explainer.study.files import MAX_CSV_BYTES, FileFault, read_file
from explainer.study.lifted import MAX_ORIGIN_BYTES, lifted_of

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
    rest = list(parts)
    found = []
    for then in earlier:
        now = _likeness(then, rest)
        if now is not None:
            rest.remove(now)
        moves = tuple(_moves(then, now)) if now is not None else ()
        found.append(MovedPart(then, now, moves))
    return found


def _likeness(then: EarlierPart, parts: Sequence[LiftedPart]) -> LiftedPart | None:
    """The part the report calls the same; of unnumbered ones, that with the same head nearby."""
    origins = [(p, lifted_of(p.name, p.origin)) for p in parts]
    alike = [
        (p, o) for p, o in origins
        if o.what == then.origin.what and (o.method == "table") == (then.origin.method == "table")
    ]  # fmt: skip
    head = _rows(then.data)[:1]
    alike.sort(key=lambda v: (_rows(v[0].csv)[:1] != head, abs(v[1].page - then.origin.page)))
    return alike[0][0] if alike else None


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
