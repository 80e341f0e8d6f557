"""A head or a cell takes time by its length, not by the square of it: it may be a stranger's."""

from __future__ import annotations

import csv
import io
import time

import pytest

from explainer.draft.draft import GivenFile, draft_from

#: Runs of one kind of sign, on which a pattern without an anchor begins anew at each place.
RUNS = ["a", " x", "7", "-", "(", "[", "{", "a (", "7,", "a7", "a.", "1 ", "¹", "°C ", "/1", "^"]
PLACES = {"a head": (0, 2), "an item": (3, 0), "a number": (3, 2), "a title": (-1, 0)}


def sheet(place: tuple[int, int], text: str) -> bytes:
    rows = [["ball", "games", "hook"]]
    rows += [[f"B{n}", str(games), str(10 + n)] for n in range(6) for games in (0, 30)]
    row, column = place
    if row < 0:
        rows.insert(0, [text, "", ""])
    else:
        rows[row][column] = text
    out = io.StringIO()
    csv.writer(out).writerows(rows)
    return out.getvalue().encode()


def cost(place: tuple[int, int], run: str, length: int) -> float:
    """Seconds of this thread for one draft."""
    data = sheet(place, (run * length)[:length])
    began = time.thread_time()
    draft_from("x", [GivenFile("a.csv", data, b"")], lambda _: None)
    return time.thread_time() - began


@pytest.mark.parametrize("run", RUNS)
@pytest.mark.parametrize("place", PLACES.values(), ids=PLACES)
def test_four_times_the_length_is_not_sixteen_times_the_work(place, run):
    short = min(cost(place, run, 6_000) for _ in range(2))
    assert any(cost(place, run, 24_000) < 8 * short for _ in range(2))
