"""The zone about a rule's limit: JCGM 106's examples, outward rounding, every source of u."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from explainer.analysis.conformity import judge_reading
from explainer.claims.judge import judge
from explainer.claims.rule_zone import rule_zone, zone
from explainer.study.load import load_study
from explainer.study.workspace import open_workspace
from explainer.words.sheets.rule_card import say_rule

HOME = Path(__file__).resolve().parents[2]


@pytest.fixture(scope="module")
def study():
    return load_study(HOME / "studies" / "cover-texture", open_workspace(HOME))


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


def test_a_zone_has_one_limit():
    with pytest.raises(ValueError, match="one limit"):
        zone(1.0, 2.0, 0.1)
    with pytest.raises(ValueError, match="one limit"):
        zone(None, None, 0.1)


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
    rule = made.description.rule.model_copy(update={"u": u})
    made = replace(made, description=made.description.model_copy(update={"rule": rule}))
    judgement = judge(made)
    found = judgement.rule_zone.measured
    assert (found is not None) is said
    if said:
        assert found == judgement.verdict("gauge-fine").extra["grr"]
    spoken = " ".join(say_rule(judgement).zone_note)
    assert ("too narrow" in spoken) is said
