"""The range strip and the reason chain."""

from __future__ import annotations

from dataclasses import replace
from xml.dom.minidom import parseString

import pytest
import samples

from explainer.charts import fonts
from explainer.charts.chain import LOOK, chain_plate, draw_chain
from explainer.charts.display_list import DisplayList, Dots, Stroke
from explainer.charts.labels import overlaps
from explainer.charts.strip import INNER, LEFT, RIGHT, draw_strip, strip_plate
from explainer.claims.verdict import Chain, Code
from explainer.words.quantity.sizes import Sized


def dot(plate: DisplayList) -> float:
    return next(
        float(m.at[0, 0]) for m in plate.marks if isinstance(m, Dots) and m.shape == "circle"
    )


def hatched(plate: DisplayList) -> tuple[float, float]:
    mark = max((m for m in plate.marks if isinstance(m, Stroke) and m.stroke == "line"
                and not m.dash), key=lambda m: len(m.runs))  # fmt: skip
    xs = [x for run in mark.runs for x in run[:, 0].tolist()]
    return min(xs), max(xs)


@pytest.mark.parametrize("case", samples.STRIPS)
def test_a_strip_is_tiny_named_and_free_of_collisions(case: str) -> None:
    words = samples.claim_words()
    drawing = draw_strip(samples.STRIPS[case], "s", words)
    assert len(drawing) <= 3072
    root = parseString(drawing).documentElement
    assert root.getElementsByTagName("desc")[0].firstChild.data == words.strip
    assert overlaps(strip_plate(samples.STRIPS[case])) == []
    assert "nan" not in drawing


def test_the_dot_lies_in_the_zone_the_claim_needs_just_when_it_does() -> None:
    backed, against = (strip_plate(samples.STRIPS[case]) for case in ("backed", "against"))
    low, high = hatched(backed)
    assert low <= dot(backed) <= high
    low, high = hatched(against)
    assert not low <= dot(against) <= high


def test_an_open_zone_runs_off_and_a_closed_one_stops() -> None:
    low, high = hatched(strip_plate(samples.STRIPS["association"]))
    assert high > RIGHT
    assert low > LEFT
    low, high = hatched(strip_plate(samples.STRIPS["no change needed"]))
    assert low > LEFT
    assert high < RIGHT


def test_no_number_is_said() -> None:
    texts = [text.text for text in strip_plate(samples.STRIPS["no number"]).texts]
    assert "no number to show" in texts


def test_readings_against_a_limit_are_shown_from_lowest_to_highest() -> None:
    plate = strip_plate(samples.STRIPS["limit"])
    ends = next(m for m in plate.marks if isinstance(m, Dots) and m.shape == "diamond")
    low, _ = hatched(plate)
    assert low < ends.at[0, 0] < ends.at[1, 0]
    texts = [text.text for text in plate.texts]
    assert {"lowest 23", "highest 61"} <= set(texts), "a bare line looks like a likely range"


@pytest.mark.parametrize("ends", [(61.0, 61.0), (20.1, 20.3), (-61.0, 23.0), (19.9, 2000.0)])
def test_the_ends_of_what_was_read_are_named_wherever_they_lie(ends: tuple[float, float]) -> None:
    plate = strip_plate(replace(samples.STRIPS["limit"], measured=ends))
    assert overlaps(plate) == []
    named = [t for t in plate.texts if t.text.startswith(("lowest", "highest"))]
    assert len(named) == (0 if ends[0] == ends[1] else 2)
    for text in named:
        half = fonts.width(text.text, text.size) / 2
        assert text.x - half >= 0 and text.x + half <= plate.width


def with_weakest(code: Code) -> Chain:
    """The sample's chain with another verdict on its weakest link."""
    links = (replace(link, code=code) if link.weakest else link for link in samples.CHAIN.links)
    return replace(samples.CHAIN, code=code, links=tuple(links))


@pytest.mark.parametrize("code", ["backed", "leans", "cannot-tell", "not-tested"])
def test_what_the_data_do_not_contradict_is_whole_in_its_own_dash(code: Code) -> None:
    """“Can't tell” must not look as if it had failed."""
    plate = chain_plate(with_weakest(code), samples.CHAIN_WORDS)
    [ring] = [m for m in plate.marks if isinstance(m, Stroke) and m.stroke == "accent"]
    assert len(ring.runs) == 1 and tuple(ring.runs[0][0]) == tuple(ring.runs[0][-1])
    assert ring.dash == LOOK[code][1]
    assert sum("the weakest link" in text.text for text in plate.texts) == 1


def test_the_chain_breaks_at_its_weakest_link_only() -> None:
    plate = chain_plate(with_weakest("against"), samples.CHAIN_WORDS)
    broken = [m for m in plate.marks if isinstance(m, Stroke) and m.stroke == "accent"]
    texts = [t.text for t in plate.texts]
    assert len(broken) == 2  # the two halves, and the cracks beside them
    assert sum("the weakest link" in text for text in texts) == 1
    weakest = next(t.y for t in plate.texts if "the weakest link" in t.text)
    halves = broken[0]
    assert min(run[:, 1].min() for run in halves.runs) < weakest
    assert max(run[:, 1].max() for run in halves.runs) > weakest - 30
    assert overlaps(plate) == []


def test_every_reason_stands_in_the_chain_in_order() -> None:
    drawing = draw_chain(samples.CHAIN, "c", samples.CHAIN_WORDS, "Five reasons, one untested.")
    root = parseString(drawing).documentElement
    said = " ".join(n.firstChild.data for n in root.getElementsByTagName("text"))
    places = [said.index(samples.CHAIN_WORDS[link.claim].plainly) for link in samples.CHAIN.links]
    assert places == sorted(places)
    assert root.getElementsByTagName("desc")[0].firstChild.data == "Five reasons, one untested."


def test_a_strip_says_the_ends_of_its_range_and_keeps_hatching_off_the_shading() -> None:
    plate = strip_plate(samples.strip(value=-21.4, low=-25.1, high=-17.7))
    texts = {text.text for text in plate.texts}
    assert {"−25", "−21", "−18"} <= texts
    hatched = [m for m in plate.marks if isinstance(m, Stroke) and len(m.runs) > 8]
    shaded = [m for m in plate.marks if isinstance(m, Stroke) and m.fill == "zone"]
    assert hatched
    assert shaded
    lowest = max(run[:, 1].max() for m in hatched for run in m.runs)
    assert lowest <= min(run[:, 1].min() for m in shaded for run in m.runs)


def test_the_range_by_which_a_claim_leans_is_a_thicker_bar_inside_the_one_that_decides() -> None:
    drawn = {"with": samples.strip(inner=(-24.0, -19.0)), "without": samples.strip()}
    lines = {
        name: [m for m in strip_plate(made).marks
               if isinstance(m, Stroke) and m.width == INNER and m.stroke == "ink"]
        for name, made in drawn.items()
    }  # fmt: skip
    assert lines["without"] == []
    (thick,) = lines["with"]
    ends = thick.runs[0][:, 0]
    ranges = [m.runs[0][:, 0] for m in strip_plate(samples.strip()).marks
              if isinstance(m, Stroke) and m.width == 2.4 and m.stroke == "ink"]  # fmt: skip
    assert ranges[0].min() < ends.min() < ends.max() < ranges[0].max()


@pytest.mark.parametrize(
    ("strip", "numbers"),
    [
        (samples.strip(-0.72, -0.95, 0.04, None, None, 0.0, "r"), {"−0.72", "−0.95", "0.04", "0"}),
        (samples.strip(2.654, 1.314, 5.343, (1.0, None), None, 1.0, "odds ratio"),
         {"2.65", "1.31", "5.34", "1"}),
        (samples.strip(2.0464, None, None, (0.0, 0.5), None, None, "Shore D", rough=True), {"2"}),
        (samples.strip(2.0501, None, None, (0.0, 0.5), None, None, "Shore D", rough=True), {"2.1"}),
    ],
)  # fmt: skip
def test_a_strip_s_numbers_are_rounded_as_their_sentence_rounds_them(strip, numbers) -> None:
    said = {text.text for text in strip_plate(strip).texts}
    assert {text for text in said if text.lstrip("−")[:1].isdigit()} <= numbers
    assert len(numbers & said) >= len(numbers) - 1  # one that would touch is left to the words
    sized = Sized(strip.value, strip.low, strip.high, strip.unit)
    if strip.unit == "r":
        assert sized.signed == "−0.72"


def test_a_zone_of_one_value_is_said_once_and_one_that_is_both_says_its_ends_once() -> None:
    said = [t.text for t in strip_plate(samples.strip(1.0, 1.0, 1.0, (1.0, 1.0), None, None,
                                                      "share")).texts]  # fmt: skip
    assert "the claim needs 100" in said
    said = [t.text for t in strip_plate(samples.STRIPS["no change needed"]).texts]
    assert "the claim needs −6 to 6" in said and "too small to matter" in said


@pytest.mark.parametrize(
    ("strip", "needs"),
    [
        (samples.strip(), "the claim needs below 0, shaded or not"),
        (samples.strip(claim=(None, -8.0)), "the claim needs -8 or less"),
        (samples.strip(small=None), "the claim needs below 0"),
        # All of it shaded, and on both sides of 0: too small, whatever part of it is below.
        (samples.strip(-0.4, -2.1, 1.9), "the claim needs all of it below 0"),
        (samples.strip(0.4, -2.1, 2.9, (-6, 6), (-6, 6)), "the claim needs -6 to 6"),
        (samples.strip(0.87, 0.63, 1.18, (0.8, 1.25), None, 1.0, "share"),
         "the claim needs about 100: 80 to 125"),
    ],
)  # fmt: skip
def test_a_strip_tells_apart_what_is_needed_and_what_is_small(strip, needs) -> None:
    """Above 0 is needed and 10 would count: two lines that seem to contradict each other."""
    assert needs in [text.text.replace("\N{MINUS SIGN}", "-") for text in strip_plate(strip).texts]


def test_how_the_data_disagree_stands_at_the_verdict_and_not_once_more_on_its_strip() -> None:
    short = samples.claim_words(short="not as said: too small to matter")
    assert short.short not in draw_strip(samples.STRIPS["backed"], "s", short)
    held = samples.claim_words(held="too few balls")
    assert "the catch: too few balls" in draw_strip(samples.STRIPS["backed"], "s", held)
