"""Metric means metric: sentences, tables, limits, axes and strips, in every edition."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from pathlib import Path

import pytest

from explainer.charts.axis import fit
from explainer.claims.judge import judge
from explainer.editions.compose import compose
from explainer.study.load import load_study, open_workspace
from explainer.words.quantity.systems import retold, strip_in, told_again, told_unit
from explainer.words.say import say
from explainer.words.sheets.rule_card import say_rule

HOME = Path(__file__).resolve().parents[2]


@pytest.mark.parametrize(
    ("inch", "metric"),
    [
        ("A drop of 22 microinches.", "A drop of 0.56 µm."),
        ("It went from 74.6 microinches to 52.6, a drop of about 22 microinches.",
         "It went from 1.89 µm to 1.34, a drop of about 0.56 µm."),
        ("more than 48.4 but less than 51.6 microinches",
         "more than 1.23 but less than 1.31 µm"),
        ("A drop of 2.3 boards to a rise of 1.2.", "A drop of 6.2 cm to a rise of 3.2."),
        ("0.5 boards for every 10 microinches (−0.5 to 0.6)",
         "1.4 cm for every 0.254 µm (−1.4 to 1.6)"),
        ("2 boards for every inch", "5.4 cm for every 25.4 mm"),
        # What might be something else is never converted; the other system stands beside.
        ("A link of 0.95 between 12 microinches and hook.",
         "A link of 0.95 between 12 microinches (0.30 µm) and hook."),
        ("24 balls in all, 12 against 12, and 7 microinches apart.",
         "24 balls in all, 12 against 12, and 7 microinches (0.18 µm) apart."),
        ("Between shots 1–10 and shots 51–60 it rose by 2 boards.",
         "Between shots 1–10 and shots 51–60 it rose by 2 boards (5.4 cm)."),
        ("0.0017 board per microinch", "0.0017 board per microinch"),
        ("8 balls over 60 games", "8 balls over 60 games"),
        ("3 µm", "3 µm"),
    ],
)  # fmt: skip
def test_a_sentence_in_metric(inch, metric):
    assert told_again(inch, "metric") == metric


def test_a_limit_is_converted_to_its_last_digit():
    exact = {("50", "microinch"): 3}
    assert told_again("At least 50 microinches.", "metric", exact) == "At least 1.27 µm."


@dataclass(frozen=True)
class Said:
    id: str
    text: str
    more: tuple[str, ...] = ()


def test_words_are_told_again_and_ids_stay():
    made = retold(Said("2 boards", "2 boards", ("1 inch",)), "metric")
    assert made == Said("2 boards", "5.4 cm", ("25 mm",))


def judged(units):
    """The example with a limit of 50 microinches, in a workspace that puts these units first."""
    space = open_workspace(HOME)
    settings = space.settings.model_copy(update={"units_first": units})
    study = load_study(HOME / "studies" / "cover-texture", replace(space, settings=settings))
    said = study.description
    rule = said.rule.model_copy(update={
        "limit": said.rule.limit.model_copy(update={"at_least": 50.0}),
        "change": "Covers must read at least 50 microinches before league play.",
    })  # fmt: skip
    return judge(replace(study, description=said.model_copy(update={"rule": rule})))


@pytest.fixture(scope="module")
def metric():
    return judged("metric")


@pytest.fixture(scope="module")
def inches():
    return judged("inch")


def test_the_numbers_and_verdicts_stay_as_they_are(metric, inches):
    for a, b in zip(metric.verdicts, inches.verdicts, strict=True):
        assert (a.code, a.estimate, a.low, a.high, a.unit) == (
            b.code, b.estimate, b.low, b.high, b.unit)  # fmt: skip


def test_no_microinch_stands_alone_in_what_is_said(metric):
    """With the metric size beside it at most, where the sentence could not be converted whole."""
    words = say(metric)
    said = [words.answer, *words.short, *words.long]
    said += [t for c in words.claims.values() for t in (c.says, c.estimate, c.strip, *c.because)]
    said += [t for f in words.figures.values() for t in (f.title, f.shows, f.y_label, f.x_label)]
    for text in said:
        for sentence in re.findall(r"[^.?!]*(?:[.?!](?!\s|$)[^.?!]*)*[.?!]*", text):
            assert not re.search(r"\d microinch", sentence) or "µm" in sentence, sentence
    assert any("µm" in text for text in said)


def test_the_card_in_metric_keeps_its_edges(metric):
    card = say_rule(metric)
    assert [reading for reading, _ in card.rows] == [
        "1.31 µm or more", "more than 1.23 but less than 1.31 µm", "1.23 µm or less",
    ]  # fmt: skip
    assert "1.27 µm" in card.change


def test_tables_are_in_metric_and_keep_inches_for_the_switch(metric, inches):
    table = compose(metric).figures[0].table
    before = compose(inches).figures[0].table
    assert any("µm" in head for head in table.columns)
    assert not any("µin" in head or "microinch" in head for head in table.columns)
    at = next(i for i, head in enumerate(table.columns) if "µm" in head)
    assert table.other[at].system == "inch"
    assert table.other[at].cells == tuple(row[at] for row in before.rows)


def test_an_axis_has_round_ticks_in_the_unit_it_is_told_in(metric):
    unit, times = told_unit("microinch", metric.study)
    assert (unit, round(times, 6)) == ("µm", 0.0254)
    axis = fit([30.0, 95.0]).told_as(times)
    told = [tick * times for tick in axis.ticks]
    assert told == pytest.approx([float(label) for label in axis.labels], abs=1e-9)
    assert told[0] == 0.75 and told[1] == 1.0
    assert all(axis.low <= tick <= axis.high for tick in axis.ticks)
    assert fit([30.0, 95.0]).told_as(1.0) == fit([30.0, 95.0])
    words = say(metric).figures["texture-over-play"]
    assert words.y_label == "cover roughness (micrometers)"
    assert words.y_told == times


def test_a_strip_is_scaled_whole(metric):
    strip = metric.verdict("texture-falls").strip
    made = strip_in(strip, metric.study)
    assert made.unit == "µm"
    assert made.value == pytest.approx(strip.value * 0.0254)
    assert made.low / made.high == pytest.approx(strip.low / strip.high)
    assert made.small_zone == pytest.approx(tuple(e * 0.0254 for e in strip.small_zone))
