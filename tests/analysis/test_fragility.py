"""Does one item, or one checkpoint, carry a finding?"""

import numpy as np
import pytest

from explainer.analysis.fragility import drop_each, is_fragile


def mean(d):
    return float(d.mean())


@pytest.mark.parametrize(
    ("full", "without", "expected"),
    [
        (10.0, [9.0, 11.0, 5.1], (False, 2)),
        (10.0, [9.0, 11.0, 4.9], (True, 2)),
        (10.0, [9.0, -0.1, 8.0], (True, 1)),
        (-10.0, [-9.0, 2.0, -30.0], (True, 1)),
        (10.0, [9.0, None, -4.0], (True, 1)),
        (10.0, [9.0, float("nan"), 8.0], (True, 1)),
        (10.0, [0.0], (True, 0)),
        (0.0, [1.0, -1.0], (False, -1)),
        (None, [1.0], (False, -1)),
        (float("nan"), [1.0], (False, -1)),
        (10.0, [], (False, -1)),
    ],
)
def test_the_rule(full, without, expected):
    assert is_fragile(full, without) == expected


def test_how_much_may_be_lost_is_a_choice():
    assert is_fragile(10.0, [7.0]) == (False, 0)
    assert is_fragile(10.0, [7.0], halving=0.8) == (True, 0)


def test_each_row_is_left_out_once():
    assert drop_each(mean, [1.0, 2.0, 6.0]) == (4.0, 3.5, 1.5)
    assert drop_each(mean, [1.0]) == (None,)
    assert drop_each(mean, []) == ()


def test_each_label_is_left_out_with_all_its_rows():
    use = [0, 5, 0, 5]
    answers = drop_each(lambda x, y: float(x @ y), [1.0, 2, 3, 4], [1.0, 1, 1, 1], by=use)
    assert answers == (6.0, 4.0)


def test_what_does_not_exist_without_an_item_is_none():
    assert drop_each(lambda d: float(np.nan), [1.0, 2.0]) == (None, None)
    assert drop_each(lambda d: None, [1.0, 2.0]) == (None, None)


def test_a_single_ball_that_carries_everything_is_named():
    changes = [0.1, -0.2, 0.05, 12.0]
    fragile, which = is_fragile(float(np.mean(changes)), drop_each(mean, changes))
    assert fragile
    assert which == 3
