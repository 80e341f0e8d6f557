"""``explainer weigh``: the verdicts of a study as plain text, at most 80 columns wide.

First a table, one line for each claim; then each claim in full.  Each has a range strip in text:
``=`` where the claim needs the whole range to lie, ``:`` too small to matter, ``|`` nothing there,
``o`` the estimate with its range ``<---o--->``.
"""

from __future__ import annotations

import math
import textwrap
from collections.abc import Iterator

from explainer.claims.verdict import Judgement, Strip, Verdict
from explainer.errors import one_line
from explainer.words.said import ClaimWords, StudyWords
from explainer.words.speakers import in_voices, several_voices, speaker_of

WIDTH = 78
MARGIN = "   "
STRIP = 50
"""Characters of a strip between its ends."""
BRIEF = 22
"""Characters of a strip in the table."""


def ledger(judgement: Judgement, words: StudyWords) -> str:
    """The whole table as text."""
    lines = [*_wrapped(judgement.study.description.title), ""]
    if words.disclaimer:
        lines += [*_wrapped(words.disclaimer), ""]
    lines += [*_wrapped(words.answer), "", *_table(judgement, words)]
    told = in_voices(judgement.verdicts)
    for number, verdict in enumerate(told, start=1):
        lines += [*_claim(number, verdict, words.claims[verdict.claim.id]), ""]
    if judgement.chain is not None:
        lines += ["The reasons for the rule", *_wrapped(words.chain, "   "), ""]
    if words.questions:
        lines.append("What this study leaves open")
        for ask, _, settled_by in words.questions:
            lines += _wrapped(ask, "   ", "-  ")
            lines += _wrapped(f"Would settle it: {settled_by}", "   ") if settled_by else []
        lines.append("")
    if any(v.strip for v in judgement.verdicts):
        lines += _wrapped(
            "How to read a strip: o is the best estimate and <---> the range the true value "
            "likely lies in. A claim needs all of it over =, and no other reason against it. "
            "The dots : are too small to matter, and | is nothing there at all."
        )
    return "\n".join(lines).rstrip()


def _table(judgement: Judgement, words: StudyWords) -> Iterator[str]:
    """Number, verdict, range and claim on one line each; nothing where there are no claims."""
    if not judgement.verdicts:
        return
    longest = max(len(words.claims[v.claim.id].label) for v in judgement.verdicts)
    room = WIDTH - (4 + longest + 2 + BRIEF + 2)
    yield f"    {'verdict':{longest}}  {'range':{BRIEF}}  claim"
    told = in_voices(judgement.verdicts)
    several, heading = several_voices(told), ""
    for number, verdict in enumerate(told, start=1):
        if several and (now := speaker_of(verdict.claim.said_by).heading) != heading:
            heading = now
            yield f"    {_cut(heading, WIDTH - 4)}"
        drawn = brief_strip(verdict.strip) if verdict.strip is not None else ""
        label, name = words.claims[verdict.claim.id].label, _cut(verdict.claim.id, room)
        yield f"{number:>2}. {label:{longest}}  {drawn:{BRIEF}}  {name}"
    yield ""
    if words.voices:
        yield from _wrapped(words.voices)
        yield ""


def brief_strip(strip: Strip, width: int = BRIEF) -> str:
    """A range strip in one line: the range drawn over the zones."""
    if strip.value is None:
        return ""
    marks, zones, _ = (line.ljust(width) for line in text_strip(strip, width))
    return "".join(
        zone if mark == " " else mark for mark, zone in zip(marks, zones, strict=True)
    ).rstrip()


def _claim(number: int, verdict: Verdict, words: ClaimWords) -> Iterator[str]:
    head = f"{number}. "
    yield from _wrapped(words.plainly, " " * len(head), head)
    size = f" ({words.estimate})" if words.estimate else ""
    yield from _wrapped(words.label + size, "   ", "   ")
    if verdict.strip is not None and verdict.strip.value is not None:
        for line in text_strip(verdict.strip):
            yield MARGIN + line
    for reason in words.because:
        yield from _wrapped(reason, "   ", "   ")


def text_strip(strip: Strip, width: int = STRIP) -> tuple[str, ...]:
    """A range strip in three lines: the range, the zones, and which way is which."""
    scale = _scale(strip, width)
    zones = [" "] * width
    if strip.claim_zone is not None:
        _fill(zones, scale(strip.claim_zone[0], 0), scale(strip.claim_zone[1], width - 1), "=")
    if strip.small_drawn is not None:
        _fill(zones, scale(strip.small_drawn[0], 0), scale(strip.small_drawn[1], width - 1), ":")
    if strip.small_too is not None:
        _fill(zones, scale(strip.small_too[0], 0), scale(strip.small_too[1], width - 1), ":")
    marks = [" "] * width
    if strip.low is not None and strip.high is not None:
        low, high = scale(strip.low, 0), scale(strip.high, width - 1)
        _fill(marks, low, high, "-")
        marks[low], marks[high] = "<", ">"
    if strip.null is not None:
        zones[scale(strip.null, 0)] = "|"
    if strip.value is not None:
        marks[scale(strip.value, 0)] = "o"
    return ("".join(marks).rstrip(), "".join(zones).rstrip(), _ends(strip, width))


class _scale:
    """Values to columns of a strip; what lies outside is held at its ends."""

    def __init__(self, strip: Strip, width: int) -> None:
        known = [strip.value, strip.low, strip.high, strip.null]
        known += [*(strip.claim_zone or ()), *(strip.small_drawn or ()), *(strip.small_too or ())]
        values = [v for v in known if v is not None and math.isfinite(v)] or [0.0]
        room = 0.08 * (max(values) - min(values)) or 1.0
        self.low, self.high, self.width = min(values) - room, max(values) + room, width

    def __call__(self, value: float | None, otherwise: int) -> int:
        if value is None:
            return otherwise
        share = (value - self.low) / (self.high - self.low)
        return round(min(1.0, max(0.0, share)) * (self.width - 1))


def _fill(cells: list[str], start: int, end: int, mark: str) -> None:
    cells[start : end + 1] = mark * (end + 1 - start)


def _ends(strip: Strip, width: int) -> str:
    """``← smoother   (microinch)   rougher →`` in ASCII arrows."""
    less = f"<- {strip.less_is}" if strip.less_is else ""
    more = f"{strip.more_is} ->" if strip.more_is else ""
    unit = f" ({strip.unit}) " if strip.unit else " "
    if len(less) + len(unit) + len(more) > width:
        width = WIDTH - len(MARGIN)  # long words get the whole line
        unit = _cut(unit, width // 2)
        room = (width - len(unit)) // 2
        less, more = _cut(less, room), more and _cut(more[:-3], room - 3) + " ->"
    middle = unit.center(width - len(less) - len(more))
    return one_line(f"{less}{middle}{more}").rstrip()


def _cut(text: str, room: int) -> str:
    return text if len(text) <= room else text[: room - 3].rstrip() + "..."


def _wrapped(text: str, margin: str = "", first: str | None = None) -> list[str]:
    return textwrap.wrap(
        one_line(text), WIDTH, initial_indent=margin if first is None else first,
        subsequent_indent=margin, break_on_hyphens=False,
    )  # fmt: skip
