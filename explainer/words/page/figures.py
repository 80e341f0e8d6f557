"""A figure in sentences: its answer as a title, the four explanations, axes and callouts."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from math import isclose
from typing import Any

from explainer.claims.figure_data import Yardstick
from explainer.claims.figures.stories import Story
from explainer.claims.kinds import kind_of, shown_by
from explainer.claims.verdict import FigureResult, Judgement, Verdict
from explainer.study.model import Study, Table
from explainer.words.facts.claim import shown
from explainer.words.facts.figure import figure_facts
from explainer.words.facts.items import named
from explainer.words.facts.metric import told_unit
from explainer.words.facts.variants import subs
from explainer.words.page.claims import claim_facts
from explainer.words.page.walk import walk_words
from explainer.words.phrases.renderer import Teller
from explainer.words.quantity.everyday import Things
from explainer.words.quantity.numbers import (
    bare,
    fixed,
    plural_of,
    quantity,
    rounded,
    telling,
    unit_words,
)
from explainer.words.quantity.numerals import cardinal
from explainer.words.quantity.sizes import Sized, bare_beside, gap_unit, listed, with_unit
from explainer.words.quantity.when import past
from explainer.words.said import FigureWords

#: Most callouts on one figure, and the order in which they are wanted.
MOST_CALLOUTS = 3
CALLOUTS = ("early-step", "change", "odd-item", "one-item", "worst-item")


def figure_words(
    teller: Teller, judgement: Judgement, result: FigureResult, things: Things
) -> FigureWords:
    """Every word of one figure."""
    known = figure_known(teller, judgement, result, things)
    kind, about = result.figure.kind, result.figure.id

    def part(name: str) -> str:
        return teller.tell([f"{kind}.{name}"], known, about=about, stream=name)

    def label(name: str) -> str:
        return teller.fragment([f"{kind}.{name}"], known, about=about)

    return FigureWords(
        title=result.figure.title or title(teller, judgement, result, known),
        looking_at=part("looking"),
        how_to_read=part("how"),
        shows=part("shows"),
        cannot_show=part("cannot"),
        description=part("description"),
        **_axes(result, judgement, label),
        callouts=callouts(teller, result, known),
        note=label("note"),
        lines=known.get("short_names", ()),
        stories=tuple(_story(teller, judgement.study, result, s) for s in result.stories),
        walk=walk_words(teller, result, judgement.study),
        yardstick=None
        if result.yardstick is None
        else yardstick_words(
            teller, result.yardstick, about, judgement.study.description.is_invented
        ),
    )


def figure_known(
    teller: Teller, judgement: Judgement, result: FigureResult, things: Things
) -> dict[str, Any]:
    """What the phrases of one figure may use, with what they owe to the claim it shows."""
    return {
        **figure_facts(result, judgement.study, things),
        **_claimed_range(shown_claim(judgement, result), result),
        **_windows(teller, judgement, result),
        "held": _held_alike(teller, judgement, result),
    }


def title(
    teller: Teller, judgement: Judgement, result: FigureResult, known: Mapping[str, Any]
) -> str:
    """The figure's answer at the strength of the claim it shows, or of its own range."""
    kind, about = result.figure.kind, result.figure.id
    verdict = shown_claim(judgement, result)
    names = [f"{kind}.title"]
    if verdict is not None:
        known = {**known, **claim_facts(teller, judgement, verdict)}
        head = f"title.{verdict.test.kind}.{verdict.code}"
        names = [f"{head}.{sub}" for sub in subs(verdict)] + [head, *names]
    return teller.tell(names, known, about=about, stream="title").removesuffix(".")


def _story(
    teller: Teller, study: Study, result: FigureResult, told: Story
) -> tuple[str, str, str]:
    """One item followed: its name as the table has it, what it did, and how that is to be taken."""
    measure, table = study.measure(told.measure), _table_of(study, result)
    start = bare_beside(told.start, told.end, measure.unit)
    end = telling(told.end, told.start, measure.unit)
    change = Sized(told.change, None, None, gap_unit(measure.unit))
    way = (measure.less_is if told.change < 0 else measure.more_is) or ""
    facts = {
        "name": named(table.item, told.item), "term": study.term(told.measure), "way": way,
        "from_": past(table, told.first), "to": past(table, told.last),
        "start": start, "end": end, "size": _apart(change, start, end), "still": change.vanishes,
        "fell": told.change < 0, "rose": told.change > 0,
        "others": told.others, "further": told.further, "items": plural_of(table.item),
        "others_told": cardinal(told.others), "further_told": cardinal(told.further),
        "seen": None if told.seen is None
        else Sized(told.seen, None, None, gap_unit(measure.unit)).rough,
        "past_gauge": told.seen is not None and abs(told.change) > told.seen,
    }  # fmt: skip
    about = f"{result.figure.id}.{told.item}"
    return (
        told.item, teller.tell(["story.path"], facts, about=about),
        " ".join(teller.tell([name], facts, about=about)
                 for name in ("story.others", "story.gauge") if teller.may(facts, name)),
    )  # fmt: skip


def _apart(change: Sized, start: str, end: str) -> str:
    """A change as fine as the two readings beside it, so that whoever subtracts finds it."""
    places = max(len(text.partition(".")[2].partition(" ")[0].rstrip("%")) for text in (start, end))
    return with_unit(fixed(abs(change.value or 0.0), -places), change.unit)


def _windows(teller: Teller, judgement: Judgement, result: FigureResult) -> dict[str, str]:
    """Where the claim goes by windows and the figure's ends are single checkpoints: both, named."""
    none = {"windows": "", "ends_told": ""}
    verdict, table = shown_claim(judgement, result), _table_of(judgement.study, result)
    if verdict is None or not table.checkpoints or table.order is not None:
        return none
    if not isinstance(getattr(verdict.test, "from_", None), tuple):
        return none
    ends = listed([past(table, table.checkpoints[0]), past(table, table.checkpoints[-1])])
    return {"windows": str(claim_facts(teller, judgement, verdict).get("over") or ""),
            "ends_told": ends}  # fmt: skip


def _held_alike(teller: Teller, judgement: Judgement, result: FigureResult) -> str:
    """What the claim holds alike; the figure under it draws all as it was read."""
    verdict = shown_claim(judgement, result)
    if verdict is None or verdict.test.kind != "association":
        return ""
    return str(claim_facts(teller, judgement, verdict)["given"])


def _table_of(study: Study, result: FigureResult) -> Table:
    """The table whose checkpoints a figure's stories run over."""
    y = getattr(result.figure, "y", None)
    return study.tables[getattr(y, "table", None) or result.figure.table]


def shown_claim(judgement: Judgement, result: FigureResult) -> Verdict | None:
    """The claim whose answer this figure carries: tested, and of a kind it can show."""
    wanted = shown_by(result.figure.kind)
    if getattr(result.figure, "joined", False):
        wanted = ("tracks-within", "same-line", *wanted)
    shown = [
        part
        for v in judgement.verdicts
        if v.claim.id in result.claims
        for part in v.each
        if part.test.kind in wanted and part.code != "not-tested"
        if kind_of(part).calls or _has_answer(part)
    ]
    # The report's own before anybody else's, whatever the kind.
    return min(
        shown, key=lambda v: (not v.claim.of_report, wanted.index(v.test.kind)), default=None
    )


def _has_answer(part: Verdict) -> bool:
    """An estimate with its range; of a gauge read by too few for a range, the estimate alone."""
    return part.estimate is not None and (part.low is not None or part.test.kind == "repeatability")


def _claimed_range(verdict: Verdict | None, result: FigureResult) -> dict[str, str]:
    """The range of the same change as its claim of no change gives it, by its own name.

    Such a claim rests on a 90% range (two one-sided tests); a 95% one beside it would read as a
    second answer.
    """
    found = {x.kind: x.numbers for x in result.findings}.get("change", {})
    change, said = found.get("change"), {"claim_range": ""}
    if verdict is None or verdict.test.kind != "no-change" or verdict.estimate is None:
        return said
    if not isinstance(change, float) or not isclose(change, verdict.estimate, abs_tol=1e-9):
        return said
    sized = shown(verdict)
    if not sized.ranged:
        return said
    said |= {"change": sized.size, "range": sized.range, "range_unit": sized.range_unit}
    return said | {"claim_range": ", the 90% range the claim is held to"}


def callouts(
    teller: Teller, result: FigureResult, known: Mapping[str, Any]
) -> tuple[tuple[str, tuple[float, float]], ...]:
    """Short texts on the points they speak of, at most three."""
    placed = {x.kind: x.at for x in reversed(result.findings) if x.at is not None}
    said = []
    for kind in CALLOUTS:
        name = f"{result.figure.kind}.callout.{kind}"
        at = placed.get(kind)
        if at is not None and teller.has(name):
            text = teller.fragment([name], known, about=f"{result.figure.id}.{kind}")
            if text:
                said.append((text, at))
    return tuple(said[:MOST_CALLOUTS])


def _axes(
    result: FigureResult, judgement: Judgement, label: Callable[[str], str]
) -> dict[str, Any]:
    """Axis labels with units, and the words at the ends of each axis."""
    figure, study = result.figure, judgement.study
    y = getattr(figure, "y", None)
    y = getattr(y, "measure", y)
    x = getattr(figure, "x", None)
    x = getattr(x, "measure", x)
    return {
        "x_label": _axis(study, x) if x is not None else label("x"),
        "y_label": _axis(study, y) if y is not None else label("y"),
        "x_unit": _unit(study, x) if x is not None else _use_unit(result, study),
        "y_unit": _unit(study, y) if y is not None else "%" if figure.kind == "rates" else "",
        "x_told": _told(study, x), "y_told": _told(study, y),
        "x_ends": _ends(study, x) if x is not None else ("", ""),
        "y_ends": _ends(study, y) if y is not None else ("", ""),
    }


def _axis(study: Study, name: str) -> str:
    """An axis label: the measure and its unit."""
    said = _unit(study, name)
    return f"{study.term(name)} ({said})" if said else study.term(name)


def _unit(study: Study, name: str) -> str:
    """The unit in words that a measure's axis is told in; empty for a count."""
    unit, _ = told_unit(study.measure(name).unit, study)
    return "%" if unit == "percent" else "" if unit == "count" else unit_words(unit)


def _use_unit(result: FigureResult, study: Study) -> str:
    """What use is counted in: ``games``."""
    unit = study.tables[result.figure.table].use_unit
    return plural_of(unit) if unit not in ("", "count") else ""


def _told(study: Study, name: str | None) -> float:
    """How many of the unit on the axis make one of the measure's own."""
    return 1.0 if name is None else told_unit(study.measure(name).unit, study)[1]


def _ends(study: Study, name: str) -> tuple[str, str]:
    """Words for the low and the high end of a measure's axis."""
    measure = study.measure(name)
    return measure.less_is or "", measure.more_is or ""


# --- The words of a physics yardstick: what the formula says, and that it judges nothing

def yardstick_words(teller: Teller, curve: Yardstick, figure: str, invented: bool) -> FigureWords:
    """Title, what is drawn, what it says at its two ends, and the source on the drawing."""
    known = _facts(curve)

    def said(part: str) -> str:
        return teller.tell([f"{curve.kind}.{part}"], known, about=figure)

    def label(part: str) -> str:
        return teller.fragment([f"{curve.kind}.{part}"], known, about=figure)

    return FigureWords(
        title=said("title"),
        looking_at=said("looking_at"),
        how_to_read="",
        shows=said("shows"),
        cannot_show="",
        description=f"{said('looking_at')} {said('shows')}",
        x_label=label("x_label"),
        y_label=label("y_label"),
        note=label("source") + (" Beside made-up data." if invented else ""),
    )


def _facts(curve: Yardstick) -> dict[str, Any]:
    """Numbers and names for the phrases, in words."""
    hard = curve.kind == "contact-patch"
    unit = "Shore D" if hard else "mph"
    return {
        "reference": quantity(curve.reference, unit),
        "first": quantity(curve.x[0], unit) if hard else bare(rounded(curve.x[0]), unit),
        "last": quantity(curve.x[-1], unit) if hard else bare(rounded(curve.x[-1]), unit),
        "first_value": _value(curve.y[0], hard),
        "last_value": _value(curve.y[-1], hard),
        "speed_from": "the speed measured here" if curve.measure else "a usual speed",
    }


def _value(value: float, ratio: bool) -> str:
    return bare(fixed(value, -2 if ratio else 0), "" if ratio else "foot")
