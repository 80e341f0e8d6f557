"""Rows become items: every reading counted once, nothing invented where nothing was read."""

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings, strategies as st

from explainer.analysis.sample import at, grid, item_means, window_means

FRAME = pd.DataFrame(
    {
        "ball": ["P2", "P1", "P2", "P2", "P1", "P3", "P1"],
        "games": [10.0, 0, 0, 10, 10, 0, np.nan],
        "shot": [1.0, 1, 2, 3, 4, 5, 6],
        "texture": [50.0, 70, 60, 54, np.nan, np.nan, 99],
    }
)


def test_repeats_are_averaged_and_what_was_not_read_stays_empty():
    cells = grid(FRAME, "ball", "games", "texture")
    assert cells.items == ("P2", "P1", "P3")
    assert cells.uses == (0.0, 10.0)
    assert cells.values.tolist()[0] == [60.0, 52.0]
    assert cells.values[1, 0] == 70
    assert np.isnan(cells.values[1, 1])
    assert np.isnan(cells.values[2]).all()
    assert cells.counts.tolist() == [[1, 2], [1, 0], [0, 0]]
    # The row without a checkpoint belongs to none of them.
    assert cells.n_rows == 4


def test_an_items_mean_counts_each_checkpoint_once():
    means = item_means(grid(FRAME, "ball", "games", "texture"))
    assert means[0] == (60 + 52) / 2
    assert means[1] == 70
    assert np.isnan(means[2])


def test_without_checkpoints_there_is_one_column():
    cells = grid(FRAME, "ball", None, "texture")
    assert cells.uses == ()
    assert cells.values.shape == (3, 1)
    assert cells.values[:2, 0].tolist() == [(50 + 60 + 54) / 3, (70 + 99) / 2]
    assert cells.n_rows == 5


def test_a_point_a_window_and_a_checkpoint_nobody_measured_at():
    cells = grid(FRAME, "ball", "games", "texture")
    assert at(cells, 10.0)[0] == 52
    assert at(cells, (0.0, 10.0)).tolist()[:2] == item_means(cells).tolist()[:2]
    assert np.isnan(at(cells, 5.0)).all()


def test_a_window_of_numbered_rows_holds_both_ends():
    items, values, rows = window_means(FRAME, "ball", "shot", "texture", 1, 3)
    assert items == ("P2", "P1", "P3")
    assert values[:2].tolist() == [(50 + 60 + 54) / 3, 70]
    assert np.isnan(values[2])
    assert rows.tolist() == [3, 1, 0]


def test_a_single_reading_keeps_its_last_digit():
    frame = pd.DataFrame(
        {"ball": ["a", "b"], "games": [0.0, 0.0], "texture": [0.1 + 0.2, 1e12 + 1]}
    )
    assert grid(frame, "ball", "games", "texture").values[:, 0].tolist() == [0.1 + 0.2, 1e12 + 1]


@pytest.mark.parametrize("kind", ["category", "object", "str"])
def test_items_may_be_any_kind_of_text(kind):
    cells = grid(FRAME.astype({"ball": kind}), "ball", "games", "texture")
    assert cells.items == ("P2", "P1", "P3")
    assert cells.values[0].tolist() == [60.0, 52.0]


def test_an_empty_table_gives_an_empty_grid():
    cells = grid(FRAME.iloc[:0], "ball", "games", "texture")
    assert cells.items == ()
    assert cells.values.shape == (0, 0)
    assert cells.n_rows == 0
    assert item_means(cells).shape == (0,)
    assert at(cells, 0.0).shape == (0,)


@settings(deadline=None, max_examples=60)
@given(
    st.lists(
        st.tuples(
            st.sampled_from("abcd"),
            st.sampled_from([0.0, 5.0, 12.5]),
            st.one_of(st.none(), st.floats(-1e6, 1e6)),
        ),
        min_size=1,
        max_size=40,
    )
)
def test_the_same_as_pandas(rows):
    frame = pd.DataFrame(rows, columns=["ball", "games", "texture"]).astype({"texture": float})
    cells = grid(frame, "ball", "games", "texture")
    means = frame.groupby(["ball", "games"])["texture"].mean().unstack()
    expected = means.reindex(index=list(cells.items), columns=list(cells.uses)).to_numpy()
    np.testing.assert_allclose(cells.values, expected, rtol=1e-9, atol=1e-6)
    assert cells.n_rows == frame["texture"].notna().sum() == cells.counts.sum()
