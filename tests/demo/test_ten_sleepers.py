"""Data nobody here invented: the answers published for it are found again."""

from __future__ import annotations

import pytest


@pytest.fixture
def judged(example):
    return example("ten-sleepers")


def test_the_paired_difference_is_the_published_one(judged):
    """R's documentation of its data set ``sleep``: t = 4.0621, df = 9, p = 0.002833."""
    better = judged.verdict("second-is-better")
    assert better.code == "backed"
    assert better.estimate == pytest.approx(1.58)
    assert better.p == pytest.approx(0.002833, abs=5e-7)
    assert (better.low, better.high) == pytest.approx((0.7001142, 2.4598858), abs=5e-8)
    assert (better.n_items, better.n_rows) == (10, 20)


def test_the_printed_means_are_its_own(judged):
    """Student (1908), Biometrika 6, page 20."""
    assert [s.agrees for s in judged.stated] == [True, True, True]


def test_both_files_hold_the_same_readings(judged):
    long = judged.study.tables["hours"].frame
    wide = judged.study.tables["side_by_side"].frame.set_index("patient")
    for drug, column in (("drug 1", "with_first"), ("drug 2", "with_second")):
        mine = long[long["drug"] == drug].set_index("patient")["gained"]
        assert mine.to_dict() == wide[column].to_dict()
    # a spread check on the digits: Student's own, with n below the line, are 1.70 and 1.90
    spreads = wide[["with_first", "with_second"]].std(ddof=0).round(2).tolist()
    assert spreads == [1.7, 1.9]


def test_it_is_open_data_and_says_where_it_comes_from(judged):
    said = judged.study.description
    assert not said.is_invented
    assert "Biometrika" in (said.data_source or "")
    assert "out of copyright" in (said.data_source or "")
