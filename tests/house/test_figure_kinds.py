"""A figure kind is one row; this walks every row through every place and names what is missing."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import is_dataclass, replace
from functools import cache
from importlib import import_module
from pathlib import Path
from typing import Literal, get_args
from xml.dom.minidom import parseString

import pytest

from explainer.charts import kinds as drawn, svg
from explainer.charts.style import STILL
from explainer.claims.figures.kinds import FIGURE_KINDS, FigureKind
from explainer.claims.judge import judge
from explainer.claims.kinds import shown_by
from explainer.publish import frontpage
from explainer.study.description.figures import AnyFigure, Limit
from explainer.study.load import load_study, open_workspace
from explainer.words.facts import figure as figure_facts
from explainer.words.say import say

pytestmark = pytest.mark.whole  # quick, and a rule of every file or row

HOME = Path(__file__).resolve().parents[2]
SAID = ("title", "looking", "how", "shows", "cannot", "description", "note")
SCRIPTED = ("topic", "chapter", "axes", "look")


@cache
def phrases() -> frozenset[str]:
    files = sorted((HOME / "templates" / "phrases").glob("*.yaml"))
    return frozenset(
        name for path in files
        for name in re.findall(r"(?m)^([a-z][\w.-]*):", path.read_text(encoding="utf-8"))
    )  # fmt: skip


@cache
def blocks() -> frozenset[str]:
    return frozenset(block.id for block in frontpage.blocks())


def missing(kind: FigureKind) -> Iterator[str]:
    """What a kind lacks, in words a newcomer can act on."""
    name = kind.name
    if kind.model not in get_args(get_args(AnyFigure)[0]):
        yield f"{name}: its model is not in AnyFigure"
    if not (is_dataclass(kind.data) and kind.data.__dataclass_params__.frozen):
        yield f"{name}: its record is not a frozen dataclass"
    if not shown_by(name):
        yield f"{name}: no kind of claim is shown by it (claims/kinds.py)"
    if kind.find.__module__.rpartition(".")[2] != kind.module:
        yield f"{name}: find is not in the module {kind.module}"
    try:
        draw = import_module(f"explainer.charts.{kind.module}").draw
    except (ImportError, AttributeError):
        draw = None
    if draw is None or drawn.KINDS.get(name) is not draw:
        yield f"{name}: no draw in charts/{kind.module}.py"
    if name not in figure_facts.KINDS:
        yield f"{name}: no facts in words/facts/figure.py"
    wanted = [f"{name}.{part}" for part in SAID] + [f"script.{part}.{name}" for part in SCRIPTED]
    yield from (f"{name}: no phrase {each}" for each in wanted if each not in phrases())
    if f"figure-{name}" not in blocks():
        yield f"{name}: not in the handbook"


@pytest.mark.parametrize("kind", FIGURE_KINDS.values(), ids=FIGURE_KINDS)
def test_a_kind_has_all_its_pieces(kind: FigureKind) -> None:
    assert list(missing(kind)) == []


@cache
def examples() -> dict[str, tuple]:
    """One figure of each kind that the examples hold, with its words."""
    found: dict[str, tuple] = {}
    for name in ("cover-texture", "sixty-shots", "strikes-and-oil", "gauge-check", "three-balls"):
        judgement = judge(load_study(HOME / "studies" / name, open_workspace(HOME)))
        said = say(judgement).figures
        found |= {r.figure.kind: (r, said[r.figure.id]) for r in judgement.figures}
    return found


@pytest.mark.parametrize("name", FIGURE_KINDS)
def test_a_kind_is_found_said_and_drawn_from_a_study(name: str) -> None:
    if name not in examples():
        pytest.fail(f"{name}: no example shows it")
    result, words = examples()[name]
    assert type(result.data) is FIGURE_KINDS[name].data
    assert result.table.rows
    assert {len(row) for row in result.table.rows} == {len(result.table.columns)}
    plate = drawn.draw(result, words, STILL)
    assert len(plate.steps) > 2
    drawing = svg.render(plate, "one", words.title, words.description)
    assert parseString(drawing).documentElement.getAttribute("role") == "img"


def test_every_table_has_just_the_rows_kinds() -> None:
    models = set(get_args(get_args(AnyFigure)[0]))
    assert {kind.model for kind in FIGURE_KINDS.values()} == models
    assert FIGURE_KINDS.keys() == drawn.KINDS.keys() == figure_facts.KINDS.keys()


def test_a_kind_with_pieces_missing_is_told_by_name() -> None:
    class Radar(Limit):
        kind: Literal["radar"]

    lacking = replace(FIGURE_KINDS["limit"], model=Radar, data=int)
    said = " | ".join(missing(lacking))
    for piece in ("AnyFigure", "frozen", "shown by", "find", "charts/radar.py", "facts",
                  "radar.title", "script.axes.radar", "handbook"):  # fmt: skip
        assert piece in said
    assert said.count("radar: ") == 7 + len(SAID) + len(SCRIPTED)
