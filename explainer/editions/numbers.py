"""The numbers of a verdict and of a figure as text for a table: named, with units, none hidden."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import Field, replace
from itertools import pairwise
from typing import Any

from explainer.claims.detail import In, extra_fields
from explainer.claims.figure_data import BallPathsData, LimitData, OverUseData
from explainer.claims.kinds import kind_of
from explainer.claims.rules import FEW, falls_short, says_of_size
from explainer.claims.verdict import FigureResult, Judgement, NumbersTable, StatedCheck, Verdict
from explainer.editions.article import NumberTable, OtherSystem, StatedView
from explainer.study.description.tests import Repeatability
from explainer.study.model import Study, Table
from explainer.study.thresholds import THRESHOLDS
from explainer.units import LANE_EDGES, convert, short, singular
from explainer.words.facts.claim import strong_line
from explainer.words.facts.kind_facts import operand_name
from explainer.words.facts.zone import limit_digits
from explainer.words.language import language
from explainer.words.phrases.somebody import of_somebody
from explainer.words.quantity.numbers import (
    FINEST,
    as_given,
    fixed,
    half_up,
    leading,
    nearest,
    p_words,
    percent,
    place_in,
    plural_of,
    significant,
    telling,
    to_digits,
    told_in,
    unit_in,
    unit_words,
)
from explainer.words.quantity.sizes import number
from explainer.words.quantity.systems import other_unit, system_of
from explainer.words.sentence import Figures, Place, Sentence, known, put

#: More rows than this are left to the download: a page is for reading.
ROWS_SHOWN = 120

#: Columns of a figure's numbers that say how a reading was called.
CALLED = ("call", "chance it conforms")
NOT_OF_PEOPLE = frozenset(CALLED)
CALLS = {"pass": "meets it", "fail": "misses it", "too-close": "too close to call"}


def claim_numbers(verdict: Verdict, item: str, study: Study) -> tuple[tuple[str, str], ...]:
    """(name, value) of everything the results file holds on a claim; what is null is left out."""
    if len(verdict.parts) < 2:
        return tuple(_claim_rows(verdict, item, study))
    return tuple(
        (f"Part {i}: {name}", value)
        for i, part in enumerate(verdict.parts, start=1)
        for name, value in _claim_rows(part, item, study)
    )


def _claim_rows(v: Verdict, item: str, study: Study) -> Iterator[tuple[str, str]]:
    items, unit = plural_of(item), _own_unit(v)
    # What a gauge can see has no range: the estimate and the range are those of another number.
    sees = isinstance(v.test, Repeatability) and v.test.detects is not None
    if v.estimate is not None and not sees:
        yield "Best estimate", _exact(v.estimate, unit)
    if v.low is not None and v.high is not None and v.level is not None:
        yield (
            f"{percent(v.level)} range{' of the share of it all' if sees else ''}",
            put("{} to {}", _exact(v.low, unit, rest=True), _exact(v.high, unit, many=True)),
        )
    yield from _p_rows(v, study)
    if v.n_items and (v.n_rows or v.code != "not-tested"):  # what nothing was worked out from
        held = "with the readings it takes" if v.code == "not-tested" else "it rests on"
        yield f"{_capital(items)} {held}", f"{v.n_items:,}"
    if v.n_rows:
        # The line between items goes by those, too, in which nothing changed.
        part = f" for the slope within {items}" if _between_over(v) > v.n_items else ""
        yield f"Rows of data used{part}", f"{v.n_rows:,}"
    for extra in extra_fields(type(v.detail)):
        label, value = extra.metadata["label"], getattr(v.detail, extra.name)
        if value is None or not label:
            continue
        beside = extra.metadata["beside"]
        other = getattr(v.detail, beside) if beside else None
        p_value = extra.metadata["unit"] == "p"
        shown = p_words(value) if p_value else _exact(value, _unit(extra, v, study), other)
        said = label.format(item=item, items=items, Items=_capital(items))
        if extra.name == "slope_between" and (over := _between_over(v)) > v.n_items:
            said += f" (over {over:,} {items})"
        table = study.tables.get(v.table)
        yield of_somebody(said) if table is not None and table.people else said, shown


def _between_over(v: Verdict) -> int:
    """How many items the line between them is of, where a claim is about what goes on within."""
    over = (getattr(v.detail, name, None) for name in ("n_between", "n_line"))
    return next((n for n in over if n is not None), 0)


def _p_rows(v: Verdict, study: Study) -> Iterator[tuple[str, str]]:
    """Every p of a claim under its own name; the one that decides stands beside its correction."""
    line, after = v.detail.p_line, v.detail.p_after
    sized = line is not None and line != v.p  # the same p, where no size is claimed
    line = line if sized and says_of_size(v) else None
    # Of a claim that nothing is there the p has a name of its own, further down.
    named = not kind_of(v).corrected and v.p in [
        getattr(v.detail, f.name) for f in extra_fields(type(v.detail)) if f.metadata["unit"] == "p"
    ]
    if v.p is not None and not named:
        yield ("p, against nothing there" if sized else "p"), p_words(v.p)
    # Each is corrected among its own kind; where this p decides, also among those that do.
    if v.p_holm is not None:
        yield "p, after Holm’s correction", p_words(v.p_holm)
    if line is None:
        if not sized and after is not None and p_words(after) != p_words(v.p_holm):
            yield "p, corrected among the p that decide each claim (Holm)", p_words(after)
        return
    held = "the size claimed"
    if v.detail.strong:
        held = f"r {strong_line(v, study)}, which the range of a strong link clears"
    short = "; found: not past it, so that a small one speaks against the claim"
    yield f"p, against {held} (this one decides{short if falls_short(v) else ''})", p_words(line)
    if after is not None:
        yield f"p, against {held}, corrected (Holm)", p_words(after)


def _unit(extra: Field[Any], v: Verdict, study: Study) -> str:
    """The unit of an extra number: the claim's own, its measure's, or none."""
    counted: In = extra.metadata["unit"]
    if counted == "measure":
        measure = getattr(v.test, "measure", None)
        return study.measure(measure).unit if isinstance(measure, str) else ""
    if counted == "slope":
        return v.unit if " per " in v.unit else _slope_unit(v, study)
    return _own_unit(v) if counted == "claim" else ""


def _slope_unit(v: Verdict, study: Study) -> str:
    """What a line between two measures is steep in; empty where one of them only counts."""
    x, y = (getattr(v.test, side, None) for side in "xy")
    if x is None or y is None:
        return ""
    units = [study.measure(operand_name(of)).unit for of in (y, x)]
    return "" if "count" in units else " per ".join(units)


def _own_unit(v: Verdict) -> str:
    """The unit of a verdict's numbers; two readings in percent lie percentage points apart."""
    apart = kind_of(v).gap and getattr(v.test, "in_", None) != "percent"
    return "percentage points" if v.unit == "percent" and apart else v.unit


def _exact(value: float, unit: str = "", beside: float | None = None, rest: bool = False,
           many: bool = False) -> str:  # fmt: skip
    """Four significant digits, of the difference to ``beside`` if that takes more.

    More than a sentence gives, less than the results file.  Rates are told in percentage points;
    ``rest`` leaves the unit to what follows; ``many`` is for the end of a range.
    """
    if unit == "rate":
        value, unit = 100 * value, "percentage points"
        beside = None if beside is None else 100 * beside
    figures = to_digits(value, 4, beside)
    if unit in ("", "r", "count", "share"):
        return figures
    said = (figures if rest else f"{figures}%" if unit == "percent"
            else f"{figures} {_counted(figures, unit, many)}")  # fmt: skip
    if " per " in unit:
        return _rate_told(said, figures, unit)
    return said if other_unit(unit) is None else known(said, figures, unit, whole=not rest)


def _rate_told(said: str, figures: str, unit: str) -> str:
    """A rate that knows itself in the other system: ``20.60 cm per µm`` of 0.1937 boards per
    microinch, from the number and not from its figures."""
    top, _, bottom = unit.partition(" per ")
    tops, bottoms = other_unit(top), other_unit(bottom)
    if not isinstance(figures, Figures) or not (tops or bottoms):
        return said
    steps = [(top, tops or top), (bottom, bottoms or bottom)]
    if any(a != b and convert(0.0, a, b) for a, b in steps):
        return said  # a temperature is no multiple of another
    over, under = (convert(1.0, a, b) if a != b else 1.0 for a, b in steps)
    other = significant(figures.value * over / under, 4)
    whole = said != figures
    if whole:
        step = short(bottoms) if bottoms else singular(bottom)
        other = f"{other} {short(tops or top)} per {step}"
    return Sentence(said, (Place(0, len(said), figures, top if tops else bottom, whole, other),))


def _counted(figures: str, unit: str, many: bool) -> str:
    """The unit behind its number: short, and of one where it is a word: ``−1 board``."""
    brief = short(unit)
    if many or brief != unit_words(unit):
        return brief
    return unit_in(unit, language().rules.form(figures))


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _chance(chance: float) -> str:
    """A chance never told as 0% or 100% (with a gauge that scatters, nothing is certain), and in
    tenths near the 95% that a call takes."""
    if 0.9 <= chance < 0.99:
        return f"{fixed(100 * chance, -1)}%"
    return percent(min(max(chance, 1e-9), 1 - 1e-9))


def public(
    table: NumbersTable, study: Study, drawn_from: Table, download: bool = False
) -> NumbersTable:
    """A figure's numbers without how anybody is called; for a download, without the rows of whoever
    asked to stay out, and without those that sum others up, from which theirs could be worked out
    (on the page a dot of the drawing leads to its row, so all stay)."""
    rows, columns = table.rows, table.columns
    if download and study.unlisted & set(drawn_from.items):
        listed = set(drawn_from.items) - study.unlisted
        at = columns.index(drawn_from.item) if drawn_from.item in columns else None
        rows = tuple(row for row in rows if at is not None and row[at] in listed)
    keep = [
        i for i, name in enumerate(columns) if not (drawn_from.people and name in NOT_OF_PEOPLE)
    ]
    return NumbersTable(
        tuple(columns[i] for i in keep), tuple(table.units[i] for i in keep),
        tuple(tuple(row[i] for i in keep) for row in rows),
    )  # fmt: skip


def claim_readings(verdict: Verdict, item: str) -> NumberTable | None:
    """For a limit: each item's reading and how it is called; None for other claims."""
    rows = verdict.extra.get("items")
    if not isinstance(rows, list | tuple) or not all(isinstance(r, Mapping) for r in rows):
        return None
    limits = [getattr(verdict.test, end, None) for end in ("at_least", "at_most")]
    edges = _edges(limits, getattr(verdict.detail, "guard", None))
    read = [_sided(r["value"], to_digits(r["value"], 4, nearest(r["value"], limits)), edges)
            for r in rows]  # fmt: skip
    heads = (item, f"reading ({short(verdict.unit)})", "call", "chance that it conforms")
    values = NumbersTable(
        heads, ("", verdict.unit, "", ""), tuple(("", r["value"], "", "") for r in rows)
    )
    other = _other(values, 1, "reading", read, _other_place(values, 1, read, edges))
    return NumberTable(
        caption="Each reading against the limit",
        columns=heads,
        rows=tuple(
            (
                str(r["item"]),
                text,
                CALLS.get(r["call"], str(r["call"])),
                "" if r.get("p_conform") is None else _chance(r["p_conform"]),
            )
            for r, text in zip(rows, read, strict=True)
        ),
        numeric=(False, True, False, True),
        other=(None, other, None, None) if other else (),
    )


def readings_in(verdict: Verdict, judgement: Judgement) -> str:
    """The figure whose numbers are a limit's readings with the same calls; "" where none is."""
    calls = {(r["item"], r["call"]) for r in verdict.extra.get("items") or ()}
    for shown in judgement.figures:
        table = public(shown.table, judgement.study, judgement.study.tables[shown.figure.table])
        same = {(row[0], row[2]) for row in table.rows} if table.columns[2:] == CALLED else None
        if calls and calls == same and verdict.claim.id in shown.claims:
            return shown.figure.id
    return ""


def figure_table(
    result: FigureResult, caption: str, names: Mapping[str, str], files: Iterable[str] = ()
) -> NumberTable:
    """The numbers behind a figure as text; long tables are cut and say so.

    ``names`` gives the words for columns that study.yaml calls something shorter; ``files`` are
    the study's own tables, beside which the whole of it is published.
    """
    table: NumbersTable = result.table
    numeric = tuple(
        all(row[i] is None or not isinstance(row[i], str) for row in table.rows)
        for i in range(len(table.columns))
    )
    called = [names.get(name, name).replace("_", " ") for name in table.columns]
    if isinstance(result.data, OverUseData):  # as in what is said: "game 10", not "games 10"
        points = len(result.data.checkpoints)
        parted = (name.rpartition(" ") for name in called[len(called) - points :])
        called[len(called) - points :] = [f"{singular(use)} {point}" for use, _, point in parted]
    heads = tuple(
        f"{name} ({unit})" if unit and unit != "count" else name
        for name, unit in zip(called, table.units, strict=True)
    )
    if isinstance(result.data, BallPathsData):
        table = replace(table, rows=tuple(_on_the_lane(table.columns, table.rows)))
    written = zip(
        table.columns, table.units, zip(*table.rows[:ROWS_SHOWN], strict=True), strict=False
    )
    data, measure = result.data, getattr(result.figure, "y", "")
    held = _edges((data.at_least, data.at_most), data.guard) if isinstance(data, LimitData) else ()
    edges = {measure: held}
    rows = tuple(zip(
        *(_column(name, unit, cells, edges.get(name, ())) for name, unit, cells in written),
        strict=True,
    ))  # fmt: skip
    left = max(0, len(table.rows) - ROWS_SHOWN)
    other = _others(table, called, rows, edges)
    file = f"data/{figure_file(result.figure.id, files)}" if table.rows else ""
    return NumberTable(caption, heads, rows, numeric, left, other, file)


def _on_the_lane(
    columns: Sequence[str], rows: Iterable[tuple[Any, ...]]
) -> Iterator[tuple[Any, ...]]:
    """The rows of paths; a number for the end of a band that lies off the lane is no use to
    anybody (the file to download keeps it)."""
    ends = [i for i, name in enumerate(columns) if name in ("low", "high")]
    right, left = LANE_EDGES
    for row in rows:
        yield tuple(
            OFF_LANE if i in ends and cell is not None and not right <= cell <= left else cell
            for i, cell in enumerate(row)
        )


def figure_file(figure_id: str, taken: Iterable[str]) -> str:
    """The CSV with a figure's numbers, in the study's data folder beside its ``taken`` files."""
    others = {name.casefold() for name in taken}
    name = f"figure-{figure_id}.csv"
    while name.casefold() in others:
        name = f"drawn-{name}"
    return name


def _edges(limits: Iterable[float | None], guard: float | None) -> tuple[float, ...]:
    """What a reading is on one side of or the other: limits, and the ends of the zones about them
    in which nothing can be called."""
    return tuple(limit + way * (guard or 0.0) for limit in limits if limit is not None
                 for way in (-1, 0, 1))  # fmt: skip


def _sided(value: float, told: str, edges: Iterable[float]) -> str:
    """``told`` of ``value``, or as many digits more as leave it on its side of every edge, and of
    the edge as it is printed: to three digits of what lies between it and its limit."""
    held = sorted(edges)
    if not held:
        return told
    reach = next((high - low for low, high in pairwise(held) if high > low), 0.0)
    printed = [(edge, float(half_up(edge, leading(reach) - 2))) for edge in held if reach]
    held += [as_told for edge, as_told in printed if (value - edge) * (value - as_told) > 0]
    for place in range(-len(told.partition(".")[2]), FINEST - 1, -1):
        shown = fixed(value, place).trimmed()
        near = float(half_up(value, place))
        if all(near == edge == value or (near - edge) * (value - edge) > 0 for edge in held):
            return shown
    return told


def _other_place(
    table: NumbersTable, i: int, shown: Sequence[str], edges: Iterable[float] = ()
) -> int:
    """The last digit of a column in the other system of units: as sharp as the finest of the cells
    shown, or what is read as less would stand there as more.  Readings stay on their side of
    ``edges``, and one that lies at an edge is as sharp as that is told."""
    unit, other = table.units[i], other_unit(table.units[i])
    cells = [(row[i], text) for row, text in zip(table.rows, shown, strict=False)]
    read = {v: text for v, text in cells if isinstance(v, int | float)}
    if other is None or not read:
        return 0
    finest = max(len(text.partition(".")[2]) for text in read.values())
    place = place_in(unit, other, -finest, list(read))
    lines = [convert(edge, unit, other) for edge in edges]
    sharp = [_sided(value, fixed(value, place), lines)
             for value in (convert(v, unit, other) for v in read)]  # fmt: skip
    guards = [high - low for low, high in pairwise(sorted(edges)) if high > low][:1]
    sharp += [told_in(as_given(edge), unit, other, limit_digits(edge, unit, guards))
              for edge in edges if edge in read]  # fmt: skip
    return min(place, *(-len(text.partition(".")[2]) for text in sharp))


def _others(
    table: NumbersTable, names: Sequence[str], rows: Sequence[tuple[str, ...]],
    edges: Mapping[str, Sequence[float]],
) -> tuple[OtherSystem | None, ...]:
    """The columns of a figure's table in the other system; those of one unit alike, or one reading
    of a row would look like another in the next column."""
    shown = list(zip(*rows, strict=True)) or [()] * len(names)
    places: dict[str, int] = {}
    for i, unit in enumerate(table.units):
        place = _other_place(table, i, shown[i], edges.get(table.columns[i], ()))
        places[unit] = min(places.get(unit, 0), place)
    return tuple(_other(table, i, name, shown[i], places[table.units[i]])
                 for i, name in enumerate(names))  # fmt: skip


def _other(
    table: NumbersTable, i: int, name: str, shown: Sequence[str], place: int
) -> OtherSystem | None:
    """A column in the other system of units, each of its cells to the digit ``place``."""
    unit = other_unit(table.units[i])
    if unit is None:
        return None
    told = tuple(
        fixed(convert(v, table.units[i], unit), place).trimmed() if isinstance(v, int | float)
        else text
        for v, text in zip((row[i] for row in table.rows), shown, strict=False)
    )
    return OtherSystem(system_of(table.units[i]), f"{name} ({short(unit)})", told)


#: Where nothing could be said of how far an average may be off.
NO_RANGE = "no range"
#: In place of an end of a band where there is no board.
OFF_LANE = "past the lane"


def _column(
    name: str, unit: str, cells: tuple[str | float | None, ...], edges: Iterable[float] = ()
) -> tuple[str, ...]:
    """A column's cells: whole numbers whole, and digits enough to tell them apart, and on which
    side of ``edges`` they are.

    Years have no comma.
    """
    numbers = [c for c in cells if isinstance(c, int | float)]
    ends = (min(numbers), max(numbers)) if numbers else (0.0, 0.0)
    apart = min(10.0, (ends[1] - ends[0]) / 10)
    if name == CALLED[1]:
        return tuple("" if c is None else _chance(float(c) / 100).rstrip("%") for c in cells)
    if "year" in (name.casefold(), unit.casefold()):
        return tuple(str(c) if isinstance(c, str) else _checkpoint(c) for c in cells)
    return tuple(
        (NO_RANGE if name in ("low", "high") else "no reading") if c is None
        else c if isinstance(c, str) else _sided(c, telling(c, c + apart), edges)
        for c in cells
    )


def _checkpoint(value: float | None) -> str:
    return "no reading" if value is None else number(value)


#: What a threshold decides beside the kinds of claim that name it: kinds of figure, a strong
#: link, all that are corrected for their number, all whose size was planned.
DECIDES: Mapping[str, tuple[str, ...]] = {
    "strong_r": ("strong",), "strong_inner": ("strong",), "holm_alpha": ("corrected",),
    "power": ("planned",), "power_alpha": ("planned",),
    "plateau_low": ("about",), "plateau_high": ("about",),
    "outlier_k": ("shot-series",), "many_flagged": ("shot-series",),
}  # fmt: skip


def threshold_rows(judgement: Judgement) -> tuple[tuple[str, str], ...]:
    """(what a threshold decides, its value) of every threshold this study's verdicts rest on.

    One that means another thing for each kind of claim has a row for each that is here.
    """
    here: set[str] = {f.figure.kind for f in judgement.figures}
    named: set[str] = set()
    few = False
    for part in (p for v in judgement.verdicts for p in v.each):
        named |= set(kind_of(part).thresholds)
        here.add(part.test.kind)
        here |= {"strong"} if part.detail.strong else set()
        here |= {"about"} if getattr(part.detail, "about", None) is not None else set()
        here |= {"corrected"} if part.p_holm is not None else set()
        here |= {"planned"} if part.power is not None else set()
        few = few or (part.code == "cannot-tell" and "too-few-items" in part.reasons)
    counted = (("Too few: what can’t be told from so many (of two sides, the smaller) is called so",
                f"{FEW} or fewer"),) * few  # fmt: skip
    return tuple(
        (explained[:1].upper() + explained[1:], f"{value:g}")
        for name, value in judgement.thresholds.items()
        if name in THRESHOLDS and (name in named or here & set(DECIDES.get(name, ())))
        for explained in ([told for kind, told in THRESHOLDS[name].of_kind.items() if kind in here]
                          or [THRESHOLDS[name].explained])
    ) + counted


def stated_rows(checks: tuple[StatedCheck, ...]) -> tuple[StatedView, ...]:
    """The report's own arithmetic, one row each."""
    return tuple(StatedView(c.what, c.where, c.stated, _worked_out(c), _outcome(c)) for c in checks)


def _worked_out(check: StatedCheck) -> str:
    if check.recomputed is None:
        return "not worked out"
    return _exact(check.recomputed, check.unit)


def _outcome(check: StatedCheck) -> str:
    """In two or three words; the sentences above the table say more."""
    if check.possible is False:
        return "cannot be"
    if check.agrees is None:
        return "possible" if check.possible else "not compared"
    return "agrees" if check.agrees else "differs"
