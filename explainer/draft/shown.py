"""A number as the cell of a spreadsheet shows it, and whether that is another than the cell keeps.

Sources: ECMA-376 part 1 (Office Open XML, number formats: 18.8.30); OASIS Open Document 1.3 part 3
(values: 19.385), whose cells hold what they show as a text beside what they keep.
"""

from __future__ import annotations

import datetime
import math
import operator
import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

from explainer.draft.guess import Guess

#: What a cell shows in place of what it keeps, and what was done; the first is no fault.
AS_KEPT, OTHER, NOTHING, NO_SIGN, TOO_LONG = "", "other", "nothing", "no sign", "too long"
_TOLD = {
    OTHER: "another number shown than kept; what is shown was taken",
    NOTHING: "a number kept and nothing shown; taken as empty",
    NO_SIGN: "a negative number shown without its sign; taken with it",
    TOO_LONG: "a number format too long to be one; the number was taken as it is kept",
}
#: Spreadsheet programs take no longer number format (common practice, no source).
MOST_FORMAT = 255


@dataclass
class Doubts:
    """Cells of one sheet that show something else than they keep."""

    found: dict[str, list[str]] = field(default_factory=dict)
    """By kind: each cell with what it keeps, as far as they are told."""
    count: Counter[str] = field(default_factory=Counter)

    def note(self, kind: str, cell: str, shown: str, kept: object) -> None:
        if kind == AS_KEPT:
            return
        self.count[kind] += 1
        told = self.found.setdefault(kind, [])
        if len(told) < 5:
            told.append(f"{cell} ({shown or 'nothing'}; kept: {kept})")

    def guesses(self, where: str) -> Iterator[Guess]:
        for kind, cells in self.found.items():
            number = self.count[kind]
            what = f"in {number} cell{'s' * (number > 1)} {_TOLD[kind]}: {', '.join(cells)}"
            yield Guess(where, what, "please check", "look at them in the spreadsheet", worth=60)


def shown_value(value: Any, code: str) -> tuple[str, str]:
    """A cell's value under its number format, and what is odd about it (``AS_KEPT``: nothing).

    ``0.314`` under ``0.0%`` is ``31.4%``.  Dates come as the standard writes them (ISO 8601)
    whatever the format, so that no order of day and month is guessed; numbers without marks between
    thousands.
    """
    if isinstance(value, bool):
        return ("TRUE" if value else "FALSE"), AS_KEPT
    if isinstance(value, datetime.datetime):
        whole = value.time() == datetime.time()
        return (value.date().isoformat() if whole else value.isoformat(" ", "minutes")), AS_KEPT
    if isinstance(value, datetime.date | datetime.time):
        return value.isoformat(), AS_KEPT
    if not isinstance(value, int | float):
        return str(value), AS_KEPT
    if len(code) > MOST_FORMAT:
        return _shown_number(value, "General", False)[0], TOO_LONG
    section, own_sign = _section(value, code)
    return _shown_number(value, section, own_sign)


#: One piece of a format: a quoted text, a character taken as it is, a mark in brackets, padding.
_PIECE = re.compile(r'"([^"]*)"|\\(.)|\[([^\[\]]*)\]|_.|\*.|.', re.DOTALL)
_ASKED = re.compile(r"(<=|>=|<>|<|>|=)\s*(-?[0-9]{1,15}(?:\.[0-9]{1,15})?)")
_WHETHER = {
    "<": operator.lt, "<=": operator.le, ">": operator.gt, ">=": operator.ge,
    "=": operator.eq, "<>": operator.ne,
}  # fmt: skip


def _section(value: float, code: str) -> tuple[str, bool]:
    """The part of a format that a value is shown by, and whether that part writes the sign itself.

    At most four stand in a format: positive, negative, zero, text; or each says for which numbers.
    """
    sections, asked = [""], [""]
    for piece in _PIECE.finditer(code):
        if piece[0] == ";":
            sections.append("")
            asked.append("")
        else:
            sections[-1] += piece[0]
            asked[-1] += piece[3] if piece[3] and _ASKED.fullmatch(piece[3]) else ""
    if any(asked):
        for section, condition in zip(sections, asked, strict=True):
            found = _ASKED.fullmatch(condition)
            if found is None or _WHETHER[found[1]](value, float(found[2])):
                return section, False
        return sections[-1], False
    if value < 0 and len(sections) > 1:
        return sections[1], True
    return (sections[2] if value == 0 and len(sections) > 2 else sections[0]), False


@dataclass(frozen=True)
class _Format:
    """One section of a format, taken apart."""

    before: str
    digits: str
    """The places of digits with point, commas, percent and exponent."""
    after: str

    @classmethod
    def of(cls, section: str) -> _Format:
        parts = ["", "", ""]
        for piece in _PIECE.finditer(section):
            literal = piece[1] if piece[1] is not None else piece[2]
            if literal is None and piece[0] in "0#?.,%/eE+" and (parts[1] or piece[0] in "0#?.%"):
                parts[1] += parts[2] + piece[0]  # a sign between two places of digits
                parts[2] = ""
            elif literal is None and piece[3] is None and piece[0][0] in "_*":
                parts[2 if parts[1] else 0] += " "
            elif piece[3] is None:
                parts[2 if parts[1] else 0] += literal if literal is not None else piece[0]
        return cls(*parts)


_GENERAL = re.compile(r"general|@|standard", re.IGNORECASE)
_PLACES = re.compile(r"[#0,? ]*+(?:\.([0#?]*))?(,*)(%?)")
_POWER = re.compile(r"[#0,?]*(?:\.([0#?]*))?[eE]\+?0*")
#: A digit that a format writes itself, where it can be taken for one of the number.
_OWN_DIGIT = re.compile(r"(?<![^\W\d_])[0-9]")
_DASH = re.compile("[-–—]")


def _shown_number(value: float, section: str, own_sign: bool) -> tuple[str, str]:
    general = _GENERAL.search(re.sub(r'"[^"]*"|\\.|\[[^\[\]]*\]', "", section))
    if general is not None:
        before, _, after = (_literals(part) for part in section.partition(general[0]))
        return _with_words(before, _general(value), after)
    form = _Format.of(section)
    if not form.digits:
        said = form.before.strip()
        if value == 0 and said and _DASH.fullmatch(said):
            return "0", AS_KEPT  # as books of accounts write it
        return said, OTHER if said else NOTHING
    plain = _PLACES.fullmatch(form.digits)
    power = _POWER.fullmatch(form.digits)
    scale = 1000 ** (len(plain[2]) or _trailing_commas(form.digits)) if plain else 1
    if power:
        text = _general(float(f"{value:.{len(power[1] or '')}e}"))
    elif plain:
        text = _places(value * (100 if plain[3] else 1) / scale, plain[1] or "")
        text += plain[3]
    else:
        text = _general(value)  # as a fraction: as exact as it is
    said, odd = _with_words(form.before, text, form.after)
    if scale > 1 and value:
        odd = OTHER
    signed = re.search(r"[-−(]\s*$", form.before) is not None
    if own_sign and not signed and odd == AS_KEPT:
        odd = NO_SIGN
    if signed and value > 0:
        return f"-{said}", OTHER
    return said, odd


def _trailing_commas(digits: str) -> int:
    """Commas at the end of a format's whole part: each divides by a thousand."""
    whole = digits.partition(".")[0]
    return len(whole) - len(whole.rstrip(","))


def _places(number: float, places: str) -> str:
    kept = places.rstrip("#?")
    text = f"{number:.{len(places)}f}"
    while len(text.partition(".")[2]) > len(kept) and text[-1] == "0":
        text = text[:-1]
    return text.rstrip(".")


def _literals(section: str) -> str:
    pieces = _PIECE.finditer(section)
    return "".join(p[1] or p[2] or (p[0] if p[3] is None and p[1] is None and p[0][0] not in "_*["
                                    else "") for p in pieces)  # fmt: skip


def _with_words(before: str, number: str, after: str) -> tuple[str, str]:
    """A number between the words of its format: a unit stays behind it; digits that the words hold
    are shown as if they were the number's."""
    before = before.rstrip("-−+() \t\n\u00a0")
    if re.search("[0-9]", before) or _OWN_DIGIT.search(after):
        return f"{before}{number}{after}".strip(), OTHER
    words = (before + after).strip()
    return (f"{number} {words}" if re.match(r"[^\W\d_]", words) else number), AS_KEPT


def _general(value: float) -> str:
    """As a program shows a number without a format: up to eleven digits, noise rounded away."""
    if isinstance(value, int) or value == int(value):
        return str(int(value)) if abs(value) < 1e15 else f"{value:.10g}"
    return f"{value:.11g}"


def rounded(text: str, value: float) -> bool:
    """Whether what is shown says less than what is kept (noise of the arithmetic aside)."""
    found = re.match(r"-?\d+(?:\.\d+)?", text)
    if not found:
        return False
    kept = value * 100 if text.endswith("%") else value
    return abs(float(found[0]) - kept) > 1e-9 * max(1.0, abs(kept))


def shown_beside(number: float, percent: bool, shown: str | None) -> tuple[str, str]:
    """A number of an Open Document's cell as the text beside it shows it, and what is odd.

    ``shown``: None where the cell has no text at all, as some programs save it.
    """
    if shown is None:
        return _general(number * 100 if percent else number) + "%" * percent, AS_KEPT
    if not shown:
        return "", NOTHING
    first = re.search(r"\d", shown)
    if first is None:
        return shown, OTHER
    head, rest = shown[: first.start()], shown[first.start() :]
    behind = None if _POWERED.fullmatch(rest) else re.search(r"[^\W\d_]", rest)
    words = rest[behind.start() :] if behind else ""
    text = _as_many_digits(number * 100 if percent else number, rest.removesuffix(words))
    negative = re.search(r"[-−–(]\s*$", head) is not None
    if text is None or (negative and number > 0):
        return shown, OTHER
    unsigned = not negative and float(text) < 0
    return text + ("%" if percent else f" {words}" if words else ""), (
        NO_SIGN if unsigned else AS_KEPT
    )


_POWERED = re.compile(r"(\d{1,20}(?:[.,]\d{1,20})?)[eE]([-+]?\d{1,3})")


def _as_many_digits(number: float, shown: str) -> str | None:
    """``number`` with the decimals that its shown text has, in whatever way that marks them; None
    where that shows another number."""
    digits = re.sub(r"\D", "", shown)
    for places in range(12):
        text = f"{number:.{places}f}"
        if re.sub(r"\D", "", text) == digits:
            return text
    for places in range(12):  # a half is rounded up by some and to the even number by others
        if len(digits) <= 15 and abs(int(digits) - abs(number) * 10**places) <= 0.500001:
            return f"{math.copysign(int(digits), number) / 10**places:.{places}f}"
    power = _POWERED.fullmatch(shown.strip())
    if power:
        said = float(f"{power[1].replace(',', '.')}e{power[2]}")
        near = 0.5 * 10.0 ** (int(power[2]) - len(re.split("[.,]", power[1] + ".")[1]))
        fits = abs(said - abs(number)) <= 1.001 * near
        return _general(math.copysign(said, number)) if fits else None
    part = re.fullmatch(r"(?:(\d{1,15})\s+)?(\d{1,9})/(\d{1,9})\s*", shown)
    if part and int(part[3]):
        said = int(part[1] or 0) + int(part[2]) / int(part[3])
        return _general(number) if abs(said - abs(number)) <= 0.5 / int(part[3]) else None
    return None
