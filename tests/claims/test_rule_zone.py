"""The zone about a rule's limit: JCGM 106's examples, outward rounding, every source of u."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, strategies as st

from explainer.analysis.limits import judge_reading
from explainer.claims.judge import judge
from explainer.claims.results import results
from explainer.claims.rule_zone import rule_zone, zone
from explainer.study.load import load_study, open_workspace
from explainer.words.sheets.rule_card import say_rule

HOME = Path(__file__).resolve().parents[2]


@pytest.fixture(scope="module")
def example():
    return load_study(HOME / "studies" / "cover-texture", open_workspace(HOME))


@pytest.fixture(scope="module")
def study(example):
    """The example with a rule that asks for one reading."""
    return with_(example, {"mean_of": None})


def with_(study, rule=None, **measure):
    """The study with other words on its rule, or on the measure the rule is about."""
    said = study.description
    texture = said.measures["texture"].model_copy(update=measure)
    changed = {"measures": {**said.measures, "texture": texture}}
    if rule:
        changed["rule"] = said.rule.model_copy(update=rule)
    return replace(study, description=said.model_copy(update=changed))


def test_a_speeding_ticket_that_is_right_999_times_in_1000():
    # JCGM 106:2012, 8.3.3, example (value from memory): limit 100 km/h, a radar gun good to 2% of
    # the speed, 99.9% sure: tickets from 107 km/h on.
    made = zone(None, 100.0, 0.02 * 107, step=1.0, confidence=0.999)
    assert made.misses == 107
    assert made.guard == pytest.approx(3.09 * 2.14, abs=0.01)


def test_the_zener_diode_that_could_be_either():
    # JCGM 106:2012, 7.4, example 1 (value from memory): −5.47 V, u 0.05 V, at most −5.40 V: 92%
    # sure to conform, which is short of 95%, so it lies in the zone.
    made = zone(None, -5.40, 0.05, step=0.01)
    assert (made.meets, made.misses) == (-5.49, -5.31)
    assert made.meets < -5.47 < made.misses


def test_the_guard_band_is_1645_standard_uncertainties():
    # ISO 14253-1:2017 prints 1.65 for 95% one-sided.
    assert zone(50.0, None, 1.0).guard == pytest.approx(1.645, abs=5e-4)


def test_the_example_by_hand(study):
    # sqrt(1.5² + 1²/12) = 1.5275; times 1.6449 = 2.5126; 40 ± 2.5126, outwards to whole numbers.
    made = rule_zone(study)
    assert made.u == pytest.approx(1.5275, abs=1e-4)
    assert made.guard == pytest.approx(2.5126, abs=1e-4)
    assert (made.misses, made.limit, made.meets) == (37, 40, 43)
    assert made.source == "gauge"
    assert judge(study).rule_zone == made


@pytest.mark.parametrize(
    ("rule", "measure", "source", "marks"),
    [
        ({"u": 3.0}, {}, "given", (35, 45)),
        ({"u": 0.0}, {}, "given", (40, 40)),
        ({}, {"repeatability_sd": None}, "step", (39, 41)),
        ({}, {"resolution": None}, "gauge", (37.5, 42.5)),
        ({}, {"resolution": None, "repeatability_sd": None}, "unknown", (None, None)),
    ],
)
def test_where_the_uncertainty_comes_from(study, rule, measure, source, marks):
    made = rule_zone(with_(study, rule, **measure))
    assert (made.source, (made.misses, made.meets)) == (source, marks)


def test_no_rule_or_no_limit_makes_no_zone(study):
    assert rule_zone(with_(study, {"limit": None})) is None
    bare = study.description.model_copy(update={"rule": None})
    assert rule_zone(replace(study, description=bare)) is None


def test_a_zone_has_a_limit():
    with pytest.raises(ValueError, match="has a limit"):
        zone(None, None, 0.1)


def test_two_limits_have_a_zone_each(study):
    # 1.6449 × 1.5275 = 2.5126 about both ends: 40 ± 2.5126 and 60 ± 2.5126, outwards.
    limit = study.description.rule.limit.model_copy(update={"at_most": 60.0})
    both = with_(study, {"limit": limit})
    made = rule_zone(both)
    assert made.both
    assert (made.misses, made.meets, made.meets_to, made.misses_from) == (37, 43, 57, 63)
    card = say_rule(judge(both))
    limits = "Cover roughness (how rough the cover is) from 40 to 60 microinches (1.02 to 1.52 µm)"
    assert ("The limit", limits) in card.facts
    marks = [mark for mark, _ in card.rows]
    assert marks == [
        "43 to 57 microinches",
        "more than 37 but less than 43, or more than 57 but less than 63 microinches",
        "37 or less, or 63 microinches or more",
    ]
    assert "meet both limits" in card.stands[-1]
    recorded = results(judge(both))["rule"]
    assert (recorded["meets_to"], recorded["misses_from"]) == (57, 63)


def test_limits_too_close_together_are_met_by_no_reading(study):
    limit = study.description.rule.limit.model_copy(update={"at_most": 44.0})
    both = with_(study, {"limit": limit})
    made = rule_zone(both)
    assert (made.misses, made.meets, made.meets_to, made.misses_from) == (37, None, None, 47)
    card = say_rule(judge(both))
    assert [mark for mark, _ in card.rows] == [
        "more than 37 but less than 47 microinches", "37 or less, or 47 microinches or more",
    ]  # fmt: skip
    assert "no reading could be called as meeting both" in " ".join(card.zone_note)


@given(
    low=st.floats(-500, 500).map(lambda x: round(x, 2)), wide=st.floats(0.05, 60),
    u=st.floats(0.001, 20), step=st.sampled_from([None, 0.01, 0.1, 1.0, 5.0]),
    beyond=st.floats(0, 50),
)
def test_no_reading_past_a_mark_of_two_limits_is_called_otherwise(low, wide, u, step, beyond):
    high = low + wide
    made = zone(low, high, u, step=step)
    assert judge_reading(made.misses - beyond, u, low, high).call == "fail"
    assert judge_reading(made.misses_from + beyond, u, low, high).call == "fail"
    assert (made.meets is None) == (made.meets_to is None)
    if made.meets is not None:
        between = made.meets + (made.meets_to - made.meets) * beyond / 50
        for value in (made.meets, between, made.meets_to):
            assert judge_reading(value, u, low, high).call == "pass"


@given(
    limit=st.floats(-500, 500).map(lambda x: round(x, 2)),
    u=st.floats(0.001, 20),
    step=st.sampled_from([None, 0.01, 0.1, 0.5, 1.0, 5.0]),
    floor=st.booleans(),
    beyond=st.floats(0, 50),
)
def test_no_reading_at_or_past_a_mark_is_called_otherwise(limit, u, step, floor, beyond):
    low, high = (limit, None) if floor else (None, limit)
    made = zone(low, high, u, step=step)
    way = 1 if floor else -1
    assert judge_reading(made.meets + way * beyond, u, low, high).call == "pass"
    assert judge_reading(made.misses - way * beyond, u, low, high).call == "fail"
    # and rounding gave away no more than a step
    grain = step or made.guard / 5
    assert abs(made.meets - limit) <= made.guard + 2 * grain
    assert judge_reading(limit, u, low, high).call == "too-close"


@pytest.mark.parametrize(("u", "said"), [(0.42, True), (0.75, False), (None, True)])
def test_a_zone_drawn_for_a_better_gauge_than_the_study_found_is_told_so(u, said):
    """The gauge test of the same study: three people, ten balls; 0.74 is the whole gauge."""
    made = load_study(HOME / "studies" / "gauge-check", open_workspace(HOME))
    rule = made.description.rule.model_copy(update={"u": u, "mean_of": None})
    made = replace(made, description=made.description.model_copy(update={"rule": rule}))
    judgement = judge(made)
    found = judgement.rule_zone.measured
    assert (found is not None) is said
    if said:
        assert found == judgement.verdict("gauge-fine").extra["grr"]
    spoken = " ".join(say_rule(judgement).zone_note)
    assert ("too narrow" in spoken) is said


# An average of several readings --------------------------------------------------------------


def test_the_average_that_the_rule_asks_for_by_hand(example):
    # sqrt(1.5²/3 + 1²/12) = 0.91287; times 1.6449 = 1.5015.  Averages of three whole readings are
    # thirds: 41⅓ is too close and 41⅔ meets; 41.6 is the shortest number from 41.5015 on.
    made = rule_zone(example)
    assert made.readings == 3
    assert made.u == pytest.approx(0.91287, abs=1e-5)
    assert (made.misses, made.meets) == (38.4, 41.6)


@given(
    limit=st.integers(-300, 300),
    u=st.floats(0.05, 9),
    step=st.sampled_from([0.1, 0.5, 1.0, 2.0]),
    many=st.integers(1, 7),
    floor=st.booleans(),
)
def test_every_average_is_called_by_the_marks_as_by_the_guard_band(limit, u, step, many, floor):
    """What a card's table says of a reading is what the page's claim and figure say of it."""
    low, high = (limit, None) if floor else (None, limit)
    made = zone(low, high, u, step=step, readings=many)
    way = 1 if floor else -1
    around = {
        round(edge / (step / many)) + n
        for edge in (limit - made.guard, limit, limit + made.guard) for n in range(-4, 5)
    }  # fmt: skip
    for count in around:
        average = float(f"{count * step / many:.12g}")  # as a display has it, no binary tail
        if abs(abs(average - limit) - made.guard) < 1e-6 * step:
            continue  # on the edge to the last bit
        by_marks = (
            "pass" if way * (average - made.meets) >= 0
            else "fail" if way * (average - made.misses) <= 0 else "too-close"
        )  # fmt: skip
        assert by_marks == judge_reading(average, u, low, high).call, (average, made)


def test_a_gauge_check_counts_repeats_only_as_often_as_they_are_read():
    """Between-desk scatter stays whole in an average by one desk: √(av² + ev²/3), not grr/√3."""
    made = load_study(HOME / "studies" / "gauge-check", open_workspace(HOME))
    judgement = judge(made)
    extra = judgement.verdict("gauge-fine").extra
    whole = extra["grr"] ** 2 - extra["ev"] ** 2 + extra["ev"] ** 2 / 3
    assert judgement.rule_zone.checked == pytest.approx(whole**0.5)
    assert extra["grr"] / 3**0.5 < judgement.rule_zone.checked < extra["grr"]
    assert judgement.rule_zone.measured is None


# How the study's own readings stand ----------------------------------------------------------


def test_the_tested_balls_stand_to_the_limit_by_their_own_single_readings(example):
    judgement = judge(example)
    frame = example.tables["checkpoints"].frame
    for made, games in zip(judgement.rule_readings.stands, (0, 60), strict=True):
        own = frame[frame["games"] == games]["texture"].tolist()
        guard = 1.6448536 * (1.5**2 + 1 / 12) ** 0.5
        assert made.guard == pytest.approx(guard, abs=1e-4)
        assert made.at == games
        assert made.meets == sum(v >= 40 + guard for v in own)
        assert made.misses == sum(v + guard < 40 for v in own)
        assert made.meets + made.close + made.misses == made.n == 8


def test_with_a_claim_of_the_same_limit_the_stand_is_the_claims_own():
    judgement = judge(load_study(HOME / "studies" / "gauge-check", open_workspace(HOME)))
    calls = [i["call"] for i in judgement.verdict("all-conform").extra["items"]]
    [made] = judgement.rule_readings.stands
    assert (made.meets, made.close, made.misses) == tuple(
        calls.count(c) for c in ("pass", "too-close", "fail")
    )


def test_the_desks_apart_by_hand():
    made = load_study(HOME / "studies" / "gauge-check", open_workspace(HOME))
    read = judge(made).rule_readings
    frame = made.tables["desks"].frame
    level = frame.groupby("desk")["hardness"].mean()  # balanced: three goes at ten balls each
    assert read.column == "desk"
    assert [d.name for d in read.desks] == list(level.sort_values(ascending=False).index)
    for desk in read.desks:
        assert desk.apart == pytest.approx(level[desk.name] - level.mean())
    assert sum(d.apart for d in read.desks) == pytest.approx(0, abs=1e-9)


def test_nothing_is_called_where_nobody_knows_the_gauge(example):
    bare = with_(example, resolution=None, repeatability_sd=None)
    assert judge(bare).rule_readings.stands == ()
