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
        "#name?",
        "#num!",
        "/",
        "//",
        "abs",
        "abs.",
        "absent",
        "vac",
        "vac.",
        "vacant",
        "vacancy",
        "bye",
        "dns",
        "dnf",
        "dnb",
        "d.n.s.",
        "d.n.b.",
        "no show",
        "forfeit",
        "blind",
        "postponed",
        "not read",
        "no reading",
        "not measured",
        "n.m.",
        "nm",
        "nd",
        "n.d.",
        "tbd",
        "tba",
        "k.a.",
        "k. a.",
        "fehlt",
        "(blank)",
        "unknown",
    ]
)

#: Of these, the ones that may mean something else: a strike, a spare, a miss, nothing at all.
_MAY_BE_ELSE = frozenset(
    ["-", "--", "–", "—", ".", "..", "x", "?", "*", "/", "//", "nm", "nd", "none", "nil", "blind"]
)

#: Words and marks around a number that say how far to trust it: ~61, 60*, 58 (?), ca. 70, 72 est.
_DOUBT_BEFORE = re.compile(
    r"(?:[~≈]|ca\.?\s|circa\s|approx\.?\s|about\s|abt\.?\s)\s*", re.IGNORECASE
)
_DOUBT_BEHIND = re.compile(
    r"(?:(?<!\s)\s+)?(?:(?<![*†‡§¶?!])[*†‡§¶?!]+|\(\s*[*†‡§¶?!]+\s*\)|"
    r"(?<![¹²³⁴-⁹ᵃ-ᵿ])[¹²³⁴-⁹ᵃ-ᵿ]+|\(?est\.?\)?)$", re.IGNORECASE,
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
        if not re.fullmatch(r"[-+]?(\d+(?:\.\d*)?|\.\d+)([eE][-+]?\d+)?", digits):
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


def without_doubt(cell: str) -> str:
    """``~61`` as ``61``, ``60*`` as ``60``: the cell without the marks of doubt around it."""
    text = cell.strip()
    before = _DOUBT_BEFORE.match(text)
    text = text[before.end() :] if before else text
    behind = _DOUBT_BEHIND.search(text)
    return text[: behind.start()] if behind and behind.start() else text


#: What a frame or a first shot is written as: X, 9/, 8-, 81, -/, G7, F6; the tenth has three.
_PINS = re.compile(r"(?:[xX]|[0-9GFgf-][/0-9-]?)(?:[xX]|[0-9-][/0-9-]?){0,2}|/")


def are_pins(cells: Iterable[str]) -> bool:
    """Whether a column's cells are frames or shots as a score sheet marks them.

    There must be a spare or a strike among them, and next to nothing else: one stray X in a
    column of numbers is no strike.
    """
    given = [c.strip() for c in cells if c.strip()]
    fit = [c for c in given if _PINS.fullmatch(c)]
    marked = [c for c in fit if re.search(r"[xX/]", c) and len(c) <= 3]
    spares = any("/" in c and len(c) > 1 for c in fit)
    open_frames = any(re.fullmatch(r"[0-9]-|-[0-9-]", c) for c in fit)
    enough = len(fit) >= 0.9 * len(given) and len(given) > 2
    signs = spares or open_frames or _half(marked, given)
    return enough and len(marked) >= 0.1 * len(given) and signs


def _half(marked: list[str], given: list[str]) -> bool:
    """Strikes and counts of first shots alone: X, 9, X, 8: only where strikes are not rare."""
    return len(marked) >= 0.2 * len(given) and all(re.fullmatch(r"[xX/]|\d", c) for c in given)


def is_no_reading(cell: str) -> bool:
    return cell.strip().casefold() in NO_READING


def is_plainly_none(cell: str) -> bool:
    """Whether a cell says that there is no reading, and can say nothing else."""
    return is_no_reading(cell) and cell.strip().casefold() not in _MAY_BE_ELSE
