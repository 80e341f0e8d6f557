"""A file as rows of cells, and text in whatever a spreadsheet wrote it."""

from __future__ import annotations

import csv
import io
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from explainer.draft.guess import Guess
from explainer.errors import UsageError
from explainer.study.csvfault import unreadable
from explainer.study.unseen import seen

#: Marks that part cells, and what they are called.
MARKS = {",": "commas", ";": "semicolons", "\t": "tabs", "|": "upright bars"}
_MARKS = (
    (b"\xef\xbb\xbf", "utf-8-sig", "UTF-8"),
    (b"\xff\xfe", "utf-16", "UTF-16"),
    (b"\xfe\xff", "utf-16", "UTF-16"),
)

#: Cells of one sheet, or of a text file.
MOST_CELLS = 1_500_000

Row = tuple[int, list[str]]
"""Spreadsheet row, from 1, and its cells."""


@dataclass(frozen=True)
class RawSheet:
    """One sheet as it stands: rows of text, and what was noticed in reading it."""

    name: str
    """Empty for a file that is one sheet."""
    rows: tuple[Row, ...]
    guesses: tuple[Guess, ...] = ()
    hidden: bool = False


def is_workbook(data: bytes) -> bool:
    return data.startswith(b"PK\x03\x04")


def decode(data: bytes, file: str) -> tuple[str, Guess]:
    """The text in ``data`` and what was guessed of its encoding.

    Raises UsageError for a spreadsheet file, for anything binary, and for an empty file.
    """
    if data.startswith(b"\xd0\xcf\x11\xe0"):
        raise UsageError(
            f"{file} is an old workbook (.xls) or one locked with a password; "
            "save it as .xlsx, .ods or CSV first"
        )
    if data.startswith(b"PK\x03\x04"):
        raise UsageError(f"{file} is a workbook or another archive, and no text")
    for mark, codec, name in _MARKS:
        if data.startswith(mark):
            try:
                return _plain(data.decode(codec), file), Guess(file, f"text in {name}", "sure")
            except UnicodeDecodeError:
                raise UsageError(f"{file} begins as {name} and is not; save it again") from None
    wide = _wide(data)
    if wide:
        text = data.decode(wide, "replace")
        return _plain(text, file), Guess(file, "text in UTF-16", "likely", "no mark says so")
    try:
        text, name = data.decode("utf-8"), "UTF-8"
    except UnicodeDecodeError:
        text, name = _old(data)
    return _plain(text, file), Guess(
        file, f"text in {name}", "sure" if name == "UTF-8" else "likely"
    )


def _wide(data: bytes) -> str:
    """UTF-16 without a mark: every other byte of Western text is zero."""
    head = data[:4000]
    if len(head) < 4 or len(data) % 2:
        return ""
    even, odd = head[0::2].count(0), head[1::2].count(0)
    half = len(head) // 2
    return "utf-16-le" if odd > 0.7 * half else "utf-16-be" if even > 0.7 * half else ""


def _old(data: bytes) -> tuple[str, str]:
    try:
        return data.decode("cp1252"), "Windows-1252"
    except UnicodeDecodeError:
        return data.decode("latin-1"), "Latin-1"


def _plain(text: str, file: str) -> str:
    if "\0" in text:
        raise UsageError(f"{file} holds binary data; expected a CSV file")
    if not text.strip():
        raise UsageError(f"{file} is empty; expected a header and rows")
    return seen(text.replace("\r\n", "\n").replace("\r", "\n"))


def parted(text: str, file: str) -> tuple[str, list[Row]]:
    """Cells by the mark that parts most rows into the same number of them."""
    told = text[:10].split("\n")[0].lower()
    if told.startswith("sep=") and told[4:5] in MARKS:  # a spreadsheet's own note to itself
        return told[4:5], _parted(text.split("\n", 1)[1], told[4:5], file, 2)
    sample = text[:200_000]
    # Where no row of the sample has words in it, the marks themselves are all there is to go by.
    best: tuple[float, str] = (0.0, max(MARKS, key=sample.count))
    for mark in (";", "\t", ",", "|"):
        widths = Counter(
            len(cells) for _, cells in _parted(sample, mark, file, 1, strict=False) if any(cells)
        )
        wide = {w: n for w, n in widths.items() if w > 1}
        share = max(wide.values(), default=0) / max(sum(widths.values()), 1)
        if share > best[0] + 1e-9:
            best = (share, mark)
    return best[1], _parted(text, best[1], file, 1)


def _parted(text: str, mark: str, file: str, first: int, strict: bool = True) -> list[Row]:
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=mark, skipinitialspace=True)
    found: list[Row] = []
    try:
        rows = few_enough(reader, file) if strict else reader
        for n, cells in enumerate(rows, start=first):
            found.append((n, [" ".join(c.replace(" ", " ").split()) for c in cells]))
    except csv.Error as fault:
        if strict:
            wrong, expected = unreadable(fault)
            raise UsageError(
                f"{file}: row {len(found) + first}: found {wrong}, expected {expected}"
            ) from None
    return found


def few_enough(rows: Iterable[list[str]], file: str) -> Iterator[list[str]]:
    """The rows of a text file; raises UsageError at the cell that is one too many, before the rest
    is held."""
    cells = 0
    for n, row in enumerate(rows, start=1):
        cells += len(row)
        if cells > MOST_CELLS:
            raise UsageError(
                f"{file}, row {n}: found over {MOST_CELLS:,} cells up to here, expected fewer; "
                "draft from a part of it; nothing was drafted"
            )
        yield row
