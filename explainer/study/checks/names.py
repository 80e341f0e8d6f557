"""Names in study.yaml that must lead somewhere: tables, measures, columns, figures, claims."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

import numpy as np

from explainer import units
from explainer.errors import Problem, hint, listed
from explainer.study.checks.context import Context, as_text, rows_of
from explainer.study.description import figures as fig, tests as tst
from explainer.study.description.base import Reading
from explainer.study.description.sources import Design
from explainer.study.description.study import RULE
from explainer.study.model import Table
from explainer.study.people import everybody, wishes
from explainer.study.roles import all_names, derived
from explainer.study.tables import Sheet, no_column, picked_whole
from explainer.study.thresholds import THRESHOLDS
from explainer.study.yaml12 import Path


def units_known(c: Context) -> Iterator[Problem]:
    """Every unit is one we know."""
    named: list[tuple[Path, str]] = [
        (("measures", name, "unit"), m.unit) for name, m in c.description.measures.items()
    ]
    if c.description.use is not None:
        named.append((("use", "unit"), c.description.use.unit))
    for name, table in c.description.tables.items():
        named += [(("tables", name, "units", m), unit) for m, unit in table.units.items()]
        if table.use is not None:
            named.append((("tables", name, "use", "unit"), table.use.unit))
    for at, unit in named:
        if not units.known(unit):
            near = units.nearest(unit)
            help = f"did you mean `{near}`?" if near else ""
            expected = "a unit such as `inch`, `microinch`, `board`, `Shore D` or `game`"
            yield c.error(at, f"the unknown unit `{unit}`", expected, help, "unit")


def wishes_known(c: Context) -> Iterator[Problem]:
    """Whoever is to stay out of the downloads is somebody in the tables."""
    tables = [sheet.table for sheet in c.sheets.values()]
    known = list(dict.fromkeys(i for t in tables if t is not None for i in t.items))
    known += dict.fromkeys(n for t in tables if t is not None and t.parts for n in everybody(t))
    for name, at in wishes(c.description) if None not in tables else ():
        if name not in known:
            found, expected = f"`{name}`, whom no table has", f"one of {listed(known, 12)}"
            yield c.error(at, found, expected, hint(name, known), "no-item")


def measures_measured(c: Context) -> Iterator[Problem]:
    """Every measure is a column of some table (or can be worked out)."""
    if not c.complete():
        return
    spare = {
        column: sheet.file
        for sheet in c.sheets.values()
        for column in sheet.columns
        if column not in all_names(c.description)
    }
    for name, measure in c.description.measures.items():
        if c.holding(name):
            continue
        if measure.derived is not None:
            yield from _underivable(c, name)
            continue
        near = hint(name, spare)
        files = listed(sheet.file for sheet in c.sheets.values())
        found = f"no column `{name}` in any table"
        expected = f"one in {files}, or `columns:` to rename one"
        yield c.error(("measures", name), found, expected, near, "no-column", key=True)


def _underivable(c: Context, name: str) -> Iterator[Problem]:
    how = c.description.measures[name].derived
    if how is None:
        return
    at: Path = ("measures", name, "derived")
    if how.path is not None:
        sheet = c.sheets.get(how.path)
        if sheet is None:
            yield c.unknown_table((*at, "path"), how.path)
            return
        for key, column in (("distance", how.distance), ("board", how.board)):
            if column not in sheet.columns:
                yield no_column(c.source, (*at, key), column, sheet.file, sheet.columns)
        return
    pair = how.difference or how.ratio or ()
    key = "difference" if how.difference else "ratio"
    unknown = [(i, m) for i, m in enumerate(pair) if m not in c.description.measures]
    for i, measure in unknown:
        yield c.unknown_measure((*at, key, i), measure)
    if not unknown and all(c.holding(m) for m in pair):
        found = f"the {key} of {listed(pair)}, which stand in no table together"
        yield c.error((*at, key), found, "two measures of one table", code="no-measure")


def figures_drawn(c: Context) -> Iterator[Problem]:
    """Every figure's table, measures and columns are there."""
    for i, figure in enumerate(c.description.figures):
        at: Path = ("figures", i)
        sheet = c.sheets.get(figure.table)
        if sheet is None:
            yield c.unknown_table((*at, "table"), figure.table)
            continue
        if isinstance(figure, fig.Scatter):
            yield from c.pair(at, figure.x, figure.y, figure.table)[1]
            yield from _twice(c, at, figure.x, figure.y)
            yield from _line(c, at, figure)
        elif not isinstance(figure, fig.BallPaths | fig.Rates):
            yield from c.measure_in(at, figure.y, figure.table, "y")[1]
        if sheet.columns:
            yield from _columns(c, at, sheet, figure)
            yield from _drawn_over(c, at, sheet, figure)


def _drawn_over(c: Context, at: Path, sheet: Sheet, figure: fig.AnyFigure) -> Iterator[Problem]:
    """What is drawn one after the other has something that says what comes when."""
    if sheet.roles is None or sheet.roles.use is not None:
        return
    if isinstance(figure, fig.OverUse):
        expected = "`use:` to name the column of checkpoints"
        found = f"no checkpoints in `{figure.table}` to draw `{figure.y}` over"
        yield c.error((*at, "table"), found, expected, code="no-use")
    elif isinstance(figure, fig.ShotSeries) and (figure.order or sheet.roles.order) is None:
        expected = "`order:` to name the column that numbers the shots"
        found = f"no order in `{figure.table}` to draw `{figure.y}` along"
        yield c.error((*at, "table"), found, expected, code="no-order")


def _columns(c: Context, at: Path, sheet: Sheet, block: Reading) -> Iterator[Problem]:
    """Keys of a figure or test whose value must be a column of its table, and one of its own."""
    items = (sheet.roles.item, *sheet.roles.nest) if sheet.roles is not None else ()
    measured = getattr(block, "measure", None) or getattr(block, "y", None)
    for key in (*block.numbering, *({"operator"} & set(block.column_keys()))):
        name = getattr(block, key)
        expected = "a column that numbers its rows" if key in block.numbering else "who read it"
        if name is not None and name in (*items, measured):
            found = f"`{name}`, which {'names what was tested' if name in items else 'is measured'}"
            yield c.error((*at, key), found, expected, code="no-order")
    for key in block.column_keys():
        name = getattr(block, key)
        if isinstance(name, str) and name not in sheet.columns:
            yield no_column(c.source, (*at, key), name, sheet.file, sheet.columns)


def tests_readable(c: Context) -> Iterator[Problem]:
    """Every test's table, measures and columns are there, and its two conditions too."""
    for at, test in c.tests():
        if test.table is not None and test.table not in c.sheets:
            yield c.unknown_table((*at, "table"), test.table)
            continue
        if isinstance(test, tst.RateDifference):
            sheet, problems = _counting(c, at, test)
            operands = [(sheet, "")] if sheet else []
        else:
            operands, problems = c.operands(at, test)
        yield from problems
        if (x := getattr(test, "x", None)) is not None:
            yield from _twice(c, at, x, getattr(test, "y", None))
        if isinstance(test, tst.SameLine):
            yield from _line(c, at, test)
        if isinstance(test, tst.Association) and test.given:
            yield from _held_alike(c, at, test, operands)
        for sheet, _ in operands[:1]:
            if sheet is not None and sheet.columns:
                yield from _columns(c, at, sheet, test)
                yield from _conditions(c, at, sheet, test)


def _twice(c: Context, at: Path, x: object, y: object) -> Iterator[Problem]:
    """A measure goes with itself, always: that says nothing."""
    if x == y:
        name = x if isinstance(x, str) else getattr(x, "measure", x)
        found = f"`{name}` as x and as y: a measure always goes with itself"
        yield c.error((*at, "y"), found, "another measure than x", code="same-twice")


def _line(c: Context, at: Path, block: tst.SameLine | fig.Scatter) -> Iterator[Problem]:
    """The table that a line comes from, if it is another one, has both measures."""
    if block.line_from is None:
        return
    sheet = c.sheets.get(block.line_from)
    if sheet is None:
        yield c.unknown_table((*at, "line_from"), block.line_from)
        return
    for key, operand in (("x", block.x), ("y", block.y)):
        name = operand if isinstance(operand, str) else operand.measure
        if name in c.description.measures and sheet.columns and name not in sheet.measures:
            found = f"no `{name}` in `{block.line_from}`, the table the line comes from"
            yield c.error((*at, key), found, "x and y in that table, too", code="no-measure")


def _held_alike(
    c: Context, at: Path, test: tst.Association, operands: list[tuple[Sheet, str]]
) -> Iterator[Problem]:
    """What is held alike is a measure or a column, neither x nor y, and one to each item."""
    sheets = list(c.sheets.values())
    columns = list(dict.fromkeys(column for sheet in sheets for column in sheet.columns))
    known = [*c.description.measures, *columns]
    for i, name in enumerate(test.given or ()):
        place = (*at, "given", i)
        if name in [measure for _, measure in operands]:
            found = f"`{name}`, which is x or y itself"
            yield c.error(place, found, "something else about the items", code="given")
        elif any(sheet.roles is not None and name == sheet.roles.item for sheet, _ in operands):
            found = f"`{name}`, of which each has its own, so that nothing is left to compare"
            yield c.error(place, found, "something that several of them share", code="given")
        elif name not in known and c.complete():
            yield c.error(place, f"no measure or column `{name}`",
                          f"one of {listed(dict.fromkeys(known), 30)}", hint(name, known),
                          "no-column")  # fmt: skip
        elif name not in c.description.measures:
            yield from _of_one_item(c, place, name, [sheet for sheet, _ in operands])


def _of_one_item(c: Context, at: Path, name: str, sheets: list[Sheet]) -> Iterator[Problem]:
    """A column held alike sorts items, so that each has one value of it."""
    having = [s for s in (*sheets, *c.sheets.values()) if name in s.columns]
    table = having[0].table if having else None
    if table is None or name not in table.frame or name == table.use:
        if table is not None and name == table.use:
            found = f"`{name}`, the checkpoints, which every {table.item} has several of"
            yield c.error(at, found, "a column with one value to each item", code="given")
        return
    rows = table.frame[[table.item, name]].dropna().drop_duplicates()
    many = rows[rows[table.item].duplicated()]
    if len(many):
        item = many[table.item].iloc[0]
        values = listed(as_text(v) for v in rows[name][rows[table.item] == item])
        found = f"`{name}`, of which {table.item} {item} has several values ({values})"
        expected = f"a column with one value to each {table.item}, or a measure"
        yield c.error(at, found.replace("``", "`"), expected, code="given")


def _counting(c: Context, at: Path, test: tst.RateDifference) -> tuple[Sheet | None, list[Problem]]:
    """The table with successes and attempts: the one named, else the only one that has both."""
    if test.table is not None:
        return c.sheets[test.table], []
    pair = {test.successes, test.attempts}
    having = [sheet for sheet in c.sheets.values() if pair <= set(sheet.columns)]
    if len(having) == 1:
        return having[0], []
    if having:
        found = f"`{test.successes}` in {len(having)} tables"
        expected = f"`table:` with one of {listed(s.name for s in having)}"
        return None, [c.error((*at, "successes"), found, expected, code="which-table")]
    if not c.complete():
        return None, []
    every = [column for sheet in c.sheets.values() for column in sheet.columns]
    for key, name in (("successes", test.successes), ("attempts", test.attempts)):
        if name not in every:
            found = f"no column `{name}` in any table"
            expected = f"one of {listed(dict.fromkeys(every), 30)}"
            return None, [c.error((*at, key), found, expected, hint(name, every), "no-column")]
    found = f"`{test.successes}` and `{test.attempts}` in different tables"
    return None, [c.error((*at, "attempts"), found, "both in one table", code="which-table")]


def _conditions(c: Context, at: Path, sheet: Sheet, test: tst.ClaimTest) -> Iterator[Problem]:
    """A test's conditions are values of the column ``by``, each another one."""
    by = getattr(test, "by", None)
    named: list[tuple[str, str | float]] = [(key, getattr(test, key)) for key in test.conditions]
    named = [(key, value) for key, value in named if value is not None]
    named += getattr(test, "named_values", ())
    if not named or sheet.table is None or by not in sheet.columns:
        return
    values = [as_text(v) for v in sheet.table.frame[by].unique()]
    here = _values_picked(sheet.table, by, test)
    given: list[str] = []
    keys = [key for key, _ in named]
    for key, given_value in named:
        value = as_text(given_value)
        if value not in values:
            found = f"`{value}`, which the column `{by}` of {sheet.file} never holds"
            expected = f"one of {listed(values)}"
            yield c.error((*at, key), found, expected, hint(value, values), "no-value")
        elif value not in here:
            found = f"`{value}`, which no row of {sheet.file} holds of those that `only` picks"
            expected = f"one of {listed(here)}"
            yield c.error((*at, key), found, expected, hint(value, here), "no-value")
        if value in given:
            found = f"`{value}` for both {keys[given.index(value)]} and {key}"
            yield c.error((*at, key), found, "two different conditions", code="no-value")
        given.append(value)


def _values_picked(table: Table, by: str, test: tst.ClaimTest) -> list[str]:
    """The conditions that stand in the rows the test picks; all where it picks none at all, which
    the check of ``only`` says."""
    frame = rows_of(table, test.only)
    frame = frame if len(frame) else table.frame
    return [as_text(v) for v in frame[by].unique()]


def shared_columns_there(c: Context) -> Iterator[Problem]:
    """The study's own group and checkpoint columns stand in at least one table."""
    if not c.complete():
        return
    use = c.description.use
    named = (
        (("tested", "group"), c.description.tested.group, "no-column"),
        (("use", "column"), use.column if use else None, "no-use-column"),
    )
    columns = list(dict.fromkeys(column for sheet in c.sheets.values() for column in sheet.columns))
    for at, name, code in named:
        if name is not None and name not in columns:
            found, expected = f"no column `{name}` in any table", f"one of {listed(columns, 30)}"
            yield c.error(at, found, expected, hint(name, columns), code)


def links_lead(c: Context) -> Iterator[Problem]:
    """Claims, figures and tables named by the rule, advice, claims and exclusions exist."""
    claims = [claim.id for claim in c.description.claims]
    figures = [figure.id for figure in c.description.figures]
    named: list[tuple[Path, str, str, list[str]]] = []
    for i, claim in enumerate(c.description.claims):
        if claim.figure is not None:
            named.append((("claims", i, "figure"), claim.figure, "figure", figures))
    for i, advice in enumerate(c.description.advice):
        named += [
            (("advice", i, "because", j), claim, "claim", claims)
            for j, claim in enumerate(advice.because)
        ]
    rule = c.description.rule
    for i, reason in enumerate(rule.reasons if rule else ()):
        at: Path = ("rule", "reasons", i)
        if isinstance(reason, str):
            named.append((at, reason, "claim", claims))
        else:
            named.append(((*at, "claim"), reason.claim, "claim", claims))
    for i, entry in enumerate(c.description.excluded):
        named.append((("excluded", i, "table"), entry.table, "table", list(c.sheets)))
    yield from _nowhere(c, named)


def _nowhere(c: Context, named: list[tuple[Path, str, str, list[str]]]) -> Iterator[Problem]:
    """Those of (place, name, what it names, names there are) that lead nowhere."""
    for at, name, what, known in named:
        if name not in known:
            expected = f"one of {listed(known)}" if known else f"a {what} of this study"
            yield c.error(at, f"no {what} `{name}`", expected, hint(name, known), f"no-{what}")


def further_claims_lead(c: Context) -> Iterator[Problem]:
    """The claims exist that stand beside a rule's chain, and whose verdicts were corrected."""
    claims = [claim.id for claim in c.description.claims]
    rule = c.description.rule
    named: list[tuple[Path, str, str, list[str]]] = [
        (("rule", "also", i), claim, "claim", claims)
        for i, claim in enumerate(rule.also if rule else ())
    ]
    for i, correction in enumerate(c.description.corrections):
        if isinstance(correction.was, dict):
            named += [(("corrections", i, "was", id), id, "claim", claims) for id in correction.was]
    yield from _nowhere(c, named)


def rule_limit(c: Context) -> Iterator[Problem]:
    """The measure a rule limits exists."""
    rule = c.description.rule
    if rule and rule.limit and rule.limit.measure not in c.description.measures:
        yield c.unknown_measure(("rule", "limit", "measure"), rule.limit.measure)


def endings_lead(c: Context) -> Iterator[Problem]:
    """What answers the running question is a claim, or the author."""
    ending = c.description.ending
    if ending.answer and ending.answered_by is not None:
        yield c.error(
            ("ending", "answer"), "`answer` beside `answered_by`",
            "one of the two: your own words, or a claim's verdict", code="two-answers",
        )  # fmt: skip
    if ending.answered_by is None:
        return
    claims = [claim.id for claim in c.description.claims]
    at = ("ending", "answered_by")
    if ending.answered_by not in claims:
        yield c.error(
            at, f"no claim `{ending.answered_by}`", f"one of {listed(claims)}",
            hint(ending.answered_by, claims), "no-claim",
        )  # fmt: skip


def order_names(c: Context) -> Iterator[Problem]:
    """An order names figures, claims and the rule, each once."""
    said = c.description
    known = [*(f.id for f in said.figures), *(claim.id for claim in said.claims)]
    known += [RULE] if said.rule is not None else []
    for i, id in enumerate(said.order):
        if id not in known:
            yield c.error(
                ("order", i), f"no figure or claim `{id}`", f"one of {listed(known)}",
                hint(id, known), "no-order",
            )  # fmt: skip
        elif id in said.order[:i]:
            yield c.error(
                ("order", i), f"`{id}` a second time", "each of them once", code="no-order"
            )


#: Kinds of figure whose items can be told one by one.
WALKED = ("over-use", "groups", "limit", "rates", "scatter", "shot-series")


def figures_side_by_side(c: Context) -> Iterator[Problem]:
    """A pair names two figures of the study; a walk goes along a figure of single items."""
    known = [figure.id for figure in c.description.figures]
    for i, figure in enumerate(c.description.figures):
        if figure.walked and figure.kind not in WALKED:
            yield c.error(
                ("figures", i, "walk"), f"`walk` on a figure of kind `{figure.kind}`",
                f"a figure of kind {listed(WALKED)}: these show items that can be told one by one",
                code="no-walk",
            )  # fmt: skip
        if figure.walked and isinstance(figure, fig.Rates) and figure.within is None:
            yield c.error(
                ("figures", i, "walk"), "`walk` on rates without `within`",
                "`within`, the column of whoever repeats: each is told under both conditions",
                code="no-walk",
            )  # fmt: skip
        for place, id in enumerate(figure.pair or ()):
            if id not in known:
                yield c.error(
                    ("figures", i, "pair", place), f"no figure `{id}`", f"one of {listed(known)}",
                    hint(id, known), "no-figure",
                )  # fmt: skip
        if figure.pair and figure.pair[0] == figure.pair[1]:
            yield c.error(
                ("figures", i, "pair", 1), f"the figure `{figure.pair[1]}` beside itself",
                "two different figures", code="no-figure",
            )  # fmt: skip


def rows_picked(c: Context) -> Iterator[Problem]:
    """``only`` names columns of the table it picks from, and values that stand there."""
    blocks: list[tuple[Path, Mapping[str, str | float] | None, list[Sheet]]] = [
        (("figures", i), f.only, [c.sheets[f.table]] if f.table in c.sheets else [])
        for i, f in enumerate(c.description.figures)
    ]
    blocks += [(at, test.only, _read_by(c, at, test)) for at, test in c.tests()]
    for i, stated in enumerate(c.description.stated):
        compute = stated.compute
        if compute is not None:
            named = (compute.r or (getattr(compute, compute.what),))[0]
            names = [compute.table] if compute.table else c.holding(named) or list(c.sheets)
            if compute.table is None and compute.rate is not None:
                names = [n for n, s in c.sheets.items() if compute.rate in s.columns]
            sheets = [c.sheets[name] for name in names[:1] if name in c.sheets]
            if compute.what == "count" and compute.table is None and named in ("items", "rows"):
                sheets = list(c.sheets.values())[:1]
            blocks.append((("stated", i, "compute"), compute.picks, sheets))
    for at, picked, sheets in blocks:
        if picked and sheets and all(sheet.columns for sheet in sheets):
            yield from _rows_picked(c, at, picked, sheets)


def _read_by(c: Context, at: Path, test: tst.ClaimTest) -> list[Sheet]:
    if isinstance(test, tst.RateDifference):
        counting = _counting(c, at, test)[0] if test.table in (None, *c.sheets) else None
        return [counting] if counting else []
    return [sheet for sheet, _ in c.operands(at, test)[0]]  # type: ignore[arg-type]


def _rows_picked(
    c: Context, at: Path, picked: Mapping[str, str | float], sheets: list[Sheet]
) -> Iterator[Problem]:
    """A table that lacks a column is not restricted, so one at least must have them all."""
    having = [sheet for sheet in sheets if set(picked) <= set(sheet.columns)]
    if not having:
        missing = next(col for col in picked if all(col not in s.columns for s in sheets[:1]))
        yield no_column(c.source, _place_of(c, at, missing), missing, sheets[0].file,
                        sheets[0].columns)  # fmt: skip
        return
    for sheet in having:
        if sheet.table is None:
            continue
        frame, left = sheet.table.frame, np.ones(len(sheet.table.frame), dtype=bool)
        whole = picked_whole(picked, sheet.table.nest, sheet.table.items)
        for column, value in whole.items():
            held = np.array([as_text(v) == as_text(value) for v in frame[column]])
            if not held.any():
                values = list(dict.fromkeys(as_text(v) for v in frame[column]))
                asked = f"`{as_text(value)}`, which the column `{column}`"
                found = f"{asked} of {sheet.file} never holds"
                place = _place_of(c, at, column)
                place = (*at, "is") if place[-1] == "by" else place
                yield c.error(place, found, f"one of {listed(values)}",
                              hint(as_text(value), values), "no-value")  # fmt: skip
                return
            left &= held
        if not left.any():
            found = f"no row of {sheet.file} that holds all of it"
            place = _place_of(c, at, next(iter(picked)))
            yield c.error(place[:-1] if place[-1] != "by" else place, found,
                          "values that stand in one row", code="no-value", key=True)  # fmt: skip


def _place_of(c: Context, at: Path, column: str) -> Path:
    """Where a column is picked by: under ``only``, or as ``by`` of a printed number."""
    compute = c.description.stated[int(at[1])].compute if at[0] == "stated" else None
    if compute is not None and column == compute.by and compute.is_ is not None:
        return (*at, "by")
    return (*at, "only", column)


def design_named(c: Context) -> Iterator[Problem]:
    """The reference item, what items were chosen by, and the measures of a shared error exist."""
    d = c.description
    own = [n for n, t in d.tables.items() if t.tested is None]
    blocks: list[tuple[Path, Design, list[str]]] = [(("tested",), d.tested, own)]
    for name, table in d.tables.items():
        blocks.append((("tables", name), table, [name]))
        if table.tested is not None:
            blocks.append((("tables", name, "tested"), table.tested, [name]))
    for at, design, names in blocks:
        sheets = [c.sheets[n] for n in names]
        if all(sheet.columns for sheet in sheets):
            yield from _design_named(c, at, design, sheets)


def _design_named(
    c: Context, at: Path, design: Design, sheets: list[Sheet]
) -> Iterator[Problem]:
    files = listed(sheet.file for sheet in sheets)
    tables = [sheet.table for sheet in sheets]
    items = list(dict.fromkeys(item for t in tables if t is not None for item in t.items))
    if design.reference is not None and None not in tables and design.reference not in items:
        found = f"no item `{design.reference}` in {files}".replace("``", "`")
        yield c.error((*at, "reference"), found, f"one of {listed(items)}",
                      hint(design.reference, items), "no-item")  # fmt: skip
    columns = list(dict.fromkeys(col for sheet in sheets for col in sheet.columns))
    by, chosen = design.picked_by, (*at, "chosen_by")
    if picked := design.picked_alone:
        yield from _rows_picked(c, chosen, picked, sheets)
        chosen = (*chosen, "by")
    known = [*c.description.measures, *columns]
    if by is not None and " " not in by and by not in known:  # words of the author's have spaces
        yield c.error(chosen, f"no measure or column `{by}`",
                      f"one of {listed(dict.fromkeys(known), 30)}, or a few words",
                      hint(by, known), "no-column")  # fmt: skip
    for name in design.shared_sd if isinstance(design.shared_sd, dict) else ():
        if name not in c.description.measures:
            measures = list(c.description.measures)
            yield c.error((*at, "shared_sd", name), f"no measure `{name}`",
                          f"one of {listed(measures)}", hint(name, measures), "no-measure",
                          key=True)  # fmt: skip


def thresholds_known(c: Context) -> Iterator[Problem]:
    """Thresholds a study sets are ones that exist, and make sense."""
    for name, value in c.description.thresholds.items():
        at: Path = ("thresholds", name)
        known = THRESHOLDS.get(name)
        if known is None:
            expected = f"one of {listed(THRESHOLDS, 40)}"
            found = f"the unknown threshold `{name}`"
            yield c.error(at, found, expected, hint(name, THRESHOLDS), "threshold", key=True)
        elif not known.lowest <= value <= known.highest:
            expected = f"a number from {known.lowest:g} to {known.highest:g}"
            yield c.error(at, f"{value:g} for `{name}`", expected, code="threshold")


def derived_operands(c: Context) -> Iterator[Problem]:
    """A measure is not worked out from itself, nor from one that is worked out from it."""
    parts = {name: (how.difference or how.ratio or ()) if (how := measure.derived) else ()
             for name, measure in derived(c.description)}  # fmt: skip
    for name in parts:
        way, waiting = dict.fromkeys(parts[name], ""), list(parts[name])
        while waiting and name not in way:
            through = waiting.pop()
            new = [part for part in parts.get(through, ()) if part not in way]
            way |= dict.fromkeys(new, f", by way of `{through}`")
            waiting += new
        if name in way:
            found = f"`{name}` worked out from itself{way[name]}"
            yield c.error(("measures", name, "derived"), found, "two other measures",
                          key=True)  # fmt: skip
