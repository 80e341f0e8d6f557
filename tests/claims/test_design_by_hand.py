"""The pieces that second looks are made of, on rows small enough to be read."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pandas as pd
import pytest

from explainer.claims.design import confounded, cut_off, turns

# --- readings at the end of a scale ----------------------------------------------------------


def case(lowest: float | None, highest: float | None) -> Any:
    measure = SimpleNamespace(lowest=lowest, highest=highest)
    return SimpleNamespace(study=SimpleNamespace(measure=lambda name: measure))


@pytest.mark.parametrize(
    ("ends", "values", "expected"),
    [
        ((1, 9), [1, 1, 5, 9], (2, 1, False)),
        ((1, None), [1, 5, 9, 9, 9, 9, 9], (1, 0, False)),  # a declared end leaves no pile to seek
        ((0, 10), [1, 5, 9], (0, 0, False)),
        ((None, None), [1] * 5 + [2, 3], (5, 0, True)),
        ((None, None), [1] * 4 + [2, 3], (0, 0, False)),  # four are no pile
        ((None, None), [2, 3] + [7] * 5, (0, 5, True)),
        ((None, None), [1] * 5 + [2, 2, 3], (0, 0, False)),  # not three times as often
        ((None, None), [1] * 6 + [2, 2, 3], (6, 0, True)),
        ((None, None), [1] * 6 + [2, 2], (0, 0, False)),  # two values alone
        ((None, None), [1] * 5 + list(range(2, 22)), (5, 0, True)),  # 5 of 25: one in five
        ((None, None), [1] * 5 + list(range(2, 23)), (0, 0, False)),  # 5 of 26
        ((None, None), [1, 2, 2, 2, 2, 2, 3], (0, 0, False)),  # in the middle
        ((None, None), [1, 1, 1, 2], (0, 0, False)),
    ],
)
def test_readings_at_an_end_or_piled_up_there(ends, values, expected) -> None:
    found = cut_off._at_ends(case(*ends), "x", np.array(values, float))
    assert found == expected


@pytest.mark.parametrize(
    ("kind", "code", "share", "low", "high", "left"),
    [
        ("no-change", "backed", 0.2, -1, 1, "cannot-tell"),
        ("no-change", "backed", 0.19, -1, 1, "backed"),
        ("no-change", "leans", 0.5, -1, 1, "cannot-tell"),
        ("change", "backed", 0.5, 3, 5, "backed"),
        ("change", "against", 0.5, -2, 2, "cannot-tell"),  # against only because it is small
        ("change", "against", 0.5, -5, -1, "against"),
        ("change", "against", 0.5, -2, 2.1, "against"),
        ("change", "against", 0.5, None, 1, "against"),
    ],
)
def test_what_many_cut_off_readings_leave(kind, code, share, low, high, left) -> None:
    verdict: Any = SimpleNamespace(
        test=SimpleNamespace(kind=kind), code=code, low=low, high=high,
        detail=SimpleNamespace(margin=2.0),
    )  # fmt: skip
    assert cut_off._left(verdict, share) == left
    without: Any = SimpleNamespace(**{**vars(verdict), "detail": SimpleNamespace(margin=None)})
    assert cut_off._left(without, 0.5) == (
        "cannot-tell" if kind == "no-change" else code)  # fmt: skip


# --- what goes with what is compared ---------------------------------------------------------


def text(values: str) -> pd.Series:
    return pd.Series(list(values))


def rows(values: str, which: str) -> pd.Series:
    return pd.Series([c in which for c in values])


@pytest.mark.parametrize(
    ("who", "sides", "found"),
    [
        ("PPQQ", ("ab", "cd"), ("P", "Q")), ("PQPQ", ("ab", "cd"), None),
        ("PQRS", ("ab", "cd"), ("P, Q", "R, S")), ("PPQR", ("a", "cd"), ("P", "Q, R")),
        ("PPQQ", ("ab", ""), None), ("PPQQ", ("ab",), None),
        ("PQR", ("a", "b", "c"), ("P", "R")), ("PQP", ("a", "b", "c"), None),
    ],
)  # fmt: skip
def test_two_sides_share_nobody(who, sides, found) -> None:
    places = "abcd"[: len(who)]
    at = [rows(places, side) for side in sides]
    got = confounded._apart(text(who), at, "by")
    assert (got and (got.a, got.b)) == found
    if got:
        assert got.what == "by"
        assert got.sides[0].equals(at[0])
        assert got.sides[-1].equals(at[-1])


def test_at_most_three_names_of_a_side_are_told() -> None:
    got = confounded._apart(text("PQRSTT"), [rows("abcdef", "abcd"), rows("abcdef", "ef")], "by")
    assert got is not None
    assert (got.a, got.b) == ("P, Q, R", "T")


@pytest.mark.parametrize(
    ("who", "at", "found"),
    [
        ("PPQQ", [1, 2, 3, 4], ("P", "Q")), ("PQPQ", [1, 2, 3, 4], None),
        ("PQQP", [1, 3, 4, 2], ("P", "Q")), ("PPPP", [1, 2, 3, 4], None),
        ("PPQQ", [1, 2, 2, 3], None), ("PQRR", [1, 2, 3, 4], ("P", "R")),
    ],
)  # fmt: skip
def test_somebody_took_over_on_the_way(who, at, found) -> None:
    got = confounded._in_blocks(text(who), pd.Series(at, dtype=float), "shot")
    assert (got and (got.a, got.b)) == found
    if got:
        assert got.sides[0].tolist() == [c == found[0] for c in who]
        assert got.sides[1].tolist() == [c == found[1] for c in who]


@pytest.mark.parametrize(
    ("who", "items", "found"),
    [("PPQR", "aabc", ("P", "Q")), ("PPQ", "aab", None), ("PPQR", "abcd", None),
     ("PQRS", "aabc", None)],
)  # fmt: skip
def test_each_item_has_its_own_reader(who, items, found) -> None:
    got = confounded._one_each(text(who), text(items), "ball")
    assert (got and (got.a, got.b)) == found


@pytest.mark.parametrize(
    ("at", "items", "first"),
    [
        ([1, 2, 3, 4], "xyxy", "a"), ([3, 4, 1, 2], "xyxy", "b"),
        ([1, 4, 3, 2], "xyxy", ""),  # x was first under a, y under b
        ([1, 3, 3, 4], "xyxy", "a"),  # each by itself, and not the whole side
        ([1, 2, 3, 4], "xyzw", "a"), ([3, 4, 1, 2], "xyzw", "b"), ([1, 3, 2, 4], "xyzw", ""),
        ([1, 2, 2, 4], "xyzw", ""), ([1, 2, 3, 4], "xyxw", ""),  # one alone had both
        ([np.nan, np.nan, 1, 2], "xyzw", ""),
    ],
)
def test_which_side_came_first(at, items, first) -> None:
    sides = [rows("abcd", "ab"), rows("abcd", "cd")]
    assert turns._first(pd.Series(at, dtype=float), sides, text(items)) == first


def test_the_rows_of_a_window_and_of_a_checkpoint() -> None:
    frame = pd.DataFrame({"games": [0, 5, 10, 20], "shot": [4, 3, 2, 1]})

    def table(use: str | None, order: str | None) -> Any:
        return SimpleNamespace(frame=frame, use=use, order=order)

    def at(point: Any, use: str | None = "games", order: str | None = "shot") -> Any:
        got = confounded._rows_at(table(use, order), point)
        return None if got is None else got.tolist()

    assert at(10) == [False, False, True, False]
    assert at((1, 2)) == [False, False, True, True]  # windows count the order
    assert at((5, 10), order=None) == [False, True, True, False]
    assert at(3, use=None) == [False, True, False, False]
    assert at(3, use=None, order=None) is None
