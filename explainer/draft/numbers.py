"""Numbers as people write them: decimal commas, marks between thousands, units in the cell."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from unicodedata import numeric

from explainer import units
from explainer.draft.guess import Sure

#: Cells that mean "no reading".
NO_READING = frozenset(
    [
        "n/a",
        "na",
        "n.a.",
        "nan",
        "-",
        "--",
        "–",
        "—",
        ".",
        "..",
        "x",
        "?",
        "*",
        "null",
        "none",
        "nil",
        "missing",
        "#n/a",
        "#div/0!",
        "#value!",
        "#ref!",
        "#null!",
    ]
)

_DIGITS = r"[-+−]?(?:\d[\d.,'’   ]*|[.,]\d+)(?:[eE][-+]?\d+)?"
_CELL = re.compile(rf"({_DIGITS})\s*([^\d\s.,'’].*)?")
#: 12 1/2, 4-3/8, 12½: boards and inches as they are said.
_MIXED = re.compile(r"([-+−]?\d+)(?:[ -]([1-9])/(2|4|8|16)|\s?([¼½¾⅛⅜⅝⅞]))")
_SURE_COMMA = re.compile(r"[-+−]?(\d*,(\d{1,2}|\d{4,})|0,\d+|\d{1,3}([. '’  ]\d{3})+,\d*)")
_SURE_POINT = re.compile(r"[-+−]?(\d*\.(\d{1,2}|\d{4,})|0\.\d+|\d{1,3}([, '’  ]\d{3})+\.\d*)")
_EITHER_COMMA = re.compile(r"[-+−]?[1-9]\d{0,2}(,\d{3})+")
_SPACES = "'’   "


@dataclass(frozen=True)
class Writing:
    """How a file writes its numbers."""

    decimal: str
    sure: Sure = "sure"
    why: str = ""

    def read(self, cell: str) -> tuple[str, str] | None:
        """(the number with a point, the unit behind it), None for anything else."""
        mixed = _MIXED.fullmatch(cell.strip())
        if mixed:
            return _of_fraction(mixed)
        found = _CELL.fullmatch(cell.strip())
        if not found:
            return None
        thousands = "." if self.decimal == "," else ","
        digits = found[1].strip().replace("−", "-")
        whole = re.split(r"[eE]", digits)[0].split(self.decimal)[0]
        groups = re.split(rf"[{thousands}{_SPACES}]", whole.lstrip("+-"))
        if len(groups) > 1 and not (
            1 <= len(groups[0]) <= 3 and all(len(g) == 3 for g in groups[1:])
        ):
            return None
        for mark in thousands + _SPACES:
            digits = digits.replace(mark, "")
        digits = digits.replace(self.decimal, ".")
        if not re.fullmatch(r"[-+]?(\d+\.?\d*|\.\d+)([eE][-+]?\d+)?", digits):
            return None
        unit = (found[2] or "").strip()
        if unit and not units.known(unit):
            return None
        return digits.lstrip("+"), unit


def _of_fraction(found: re.Match[str]) -> tuple[str, str]:
    whole = int(found[1].replace("−", "-"))
    part = numeric(found[4]) if found[4] else int(found[2]) / int(found[3])
    return f"{whole - part if found[1][0] in '-−' else whole + part:.10g}", ""


def writing_of(cells: Iterable[str], semicolons: bool) -> Writing:
    """How the numbers among ``cells`` are written, judged by those that can be read one way only.

    ``1,234`` alone could be either; semicolons between cells speak for a decimal comma.
    """
    commas = points = either = 0
    for cell in cells:
        found = _CELL.fullmatch(cell.strip())
        digits = found[1].strip() if found else ""
        commas += bool(_SURE_COMMA.fullmatch(digits))
        points += bool(_SURE_POINT.fullmatch(digits))
        either += bool(_EITHER_COMMA.fullmatch(digits))
    if commas and points:
        mark = "," if commas > points else "."
        return Writing(mark, "please check", f"{commas} cells with a comma, {points} with a point")
    if commas:
        return Writing(",", "sure", "decimal commas")
    if points or not either:
        return Writing(".", "sure")
    mark = "," if semicolons else "."
    word = "as decimals" if semicolons else "between thousands"
    return Writing(mark, "please check", f"commas as in 1,234 read {word}")


def is_no_reading(cell: str) -> bool:
    return cell.strip().casefold() in NO_READING
