"""Footnote marks behind the numbers of a printed table: kept in the original, not in the copy."""

from __future__ import annotations

import csv
import io
import re

#: A number, then raised letters or digits, stars or daggers.
_MARKED = re.compile(
    "([-+−–]?[\\d.,' \u2009\u202f]*\\d)\\s?([⁰¹²³⁴-⁹ᵃ-ᵿʰ-ʸᶜᶠᶻⁱⁿ*†‡§¶]+)"
)


def without_marks(text: str) -> tuple[str, list[str]]:
    """A CSV text whose number cells end in their last digit, and the cells that did not."""
    marked: list[str] = []

    def bare(cell: str) -> str:
        found = _MARKED.fullmatch(cell.strip())
        if not found:
            return cell
        marked.append(cell)
        return found[1]

    rows = [[bare(c) for c in row] for row in csv.reader(io.StringIO(text, newline=""))]
    if not marked:
        return text, []
    out = io.StringIO(newline="")
    csv.writer(out, lineterminator="\n").writerows(rows)
    return out.getvalue(), marked
