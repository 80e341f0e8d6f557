"""Does one item, or one checkpoint, carry a finding?"""

import pytest

from explainer.analysis.sample import is_fragile


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
