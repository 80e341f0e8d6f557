"""Published averages: mean, SD and n of each side suffice; pairs without a correlation do not."""

from __future__ import annotations

from collections.abc import Callable

import pandas as pd
import pytest
from scipy import stats

from explainer.claims.verdict import Judgement
from explainer.editions.compose import _facts
from explainer.words.phrases.book import defects_of
from explainer.words.say import say

Judge = Callable[..., Judgement]
One = Callable[..., str]
HEAD = """\
title: A test study
question: Does it?
tested: {each: ball}
use: {column: games}
measures: {y: {unit: board, matters_from: 1}}
"""
ROWS = ", rows_are: {mean_of: count, sd: spread}"
TEST = "{kind: difference, measure: y, by: life, a: used, b: new, direction: higher}"


def table(*rows: tuple[object, ...], first: str = "life") -> pd.DataFrame:
    return pd.DataFrame(rows, columns=[first, "y", "spread", "count"])


def test_mean_sd_and_n_are_enough(judged: Judge, one: One) -> None:
    frame = table(("new", 10.0, 1.2, 8), ("used", 13.0, 2.0, 6))
    j = judged(one(TEST), frame, head=HEAD.replace("use: {column: games}\n", ""),
               table_keys={"t": ROWS})  # fmt: skip
    (v,) = j.verdicts
    theirs = stats.ttest_ind_from_stats(13.0, 2.0, 6, 10.0, 1.2, 8, equal_var=False)
    assert (v.code, v.reasons, v.n_items) == ("backed", (), 14)
    assert (v.estimate, v.p) == pytest.approx((3.0, theirs.pvalue))
    assert "printed" in say(j).claims["c"].method


def test_one_count_for_all(judged: Judge, one: One) -> None:
    frame = table(("new", 10.0, 2.0, 0), ("used", 10.5, 2.0, 0))
    keys = {"t": ", rows_are: {mean_of: 5, sd: spread}"}
    head = HEAD.replace("use: {column: games}\n", "")
    (v,) = judged(one(TEST), frame, head=head, table_keys=keys).verdicts
    assert (v.code, v.n_items) == ("cannot-tell", 10)


@pytest.mark.parametrize("keys", [", rows_are: {mean_of: 5}", ", rows_are: {mean_of: count}"])
def test_without_a_spread_there_is_no_test(judged: Judge, one: One, keys: str) -> None:
    frame = table(("new", 10.0, 2.0, 5), ("used", 10.5, 2.0, 5))
    head = HEAD.replace("use: {column: games}\n", "")
    j = judged(one(TEST), frame, head=head, table_keys={"t": keys})
    (v,) = j.verdicts
    assert (v.code, v.reasons) == ("not-tested", ("only-averages",))
    assert "cannot test" not in say(j).claims["c"].says
    assert "each of 5 balls." in say(j).claims["c"].says


def test_a_limit_with_averages_alone_has_its_sentence(judged: Judge, one: One) -> None:
    """Nobody lies on the limit where nobody was judged; the phrase about it was asked all the same.
    """
    frame = table(("new", 10.0, 2.0, 5), ("used", 10.5, 2.0, 5))
    head = HEAD.replace("use: {column: games}\n", "")
    test = one("{kind: limit, measure: y, at_least: 8}")
    j = judged(test, frame, head=head, table_keys={"t": ", rows_are: {mean_of: 5}"})
    assert "each of 5 balls." in say(j).claims["c"].says
    assert defects_of(j) == ()


def test_averages_of_more_and_of_fewer_are_told_so(judged: Judge, one: One) -> None:
    """The fewest of any were told of all."""
    frame = table(("new", 10.0, 2.0, 2), ("used", 10.5, 2.0, 1200))
    head = HEAD.replace("use: {column: games}\n", "")
    j = judged(one(TEST), frame, head=head, table_keys={"t": ", rows_are: {mean_of: count}"})
    assert "each of 2 to 1,200 balls." in say(j).claims["c"].says
    assert any("averages of 2 to 1,200 balls each" in told for _, told in _facts(j.study))


PAIRED = "{kind: difference, measure: y, by: games, a: 60, b: 0, direction: higher}"


@pytest.mark.parametrize(
    ("after", "code"), [(16.0, "backed"), (11.5, "leans"), (10.9, "cannot-tell")]
)
def test_the_same_items_twice_are_a_range_of_answers(
    judged: Judge, one: One, after: float, code: str
) -> None:
    """Eight balls, SD 2 both times: t(.975, 7)·2·√2/√8 is 2.36 either way at a correlation of 0,
    and 2.36·√.1 = .748 at .9; 80% ranges reach 1.415 and .447."""
    frame = table((0, 10.0, 2.0, 8), (60, after, 2.0, 8), first="games")
    j = judged(one(PAIRED), frame, head=HEAD, table_keys={"t": ROWS})
    (v,) = j.verdicts
    assert (v.code, "only-averages" in v.reasons) == (code, True)
    assert v.high is not None and v.high - v.estimate == pytest.approx(2.3646 * 1.0, abs=1e-3)
    assert v.detail.tight_high - v.estimate == pytest.approx(2.3646 * 0.1**0.5, abs=1e-3)
    assert "0.9" in " ".join(say(j).claims["c"].because)


def test_two_rows_for_one_side_are_not_one_average(judged: Judge, one: One) -> None:
    frame = table(("new", 10.0, 2.0, 5), ("new", 11.0, 2.0, 5), ("used", 10.5, 2.0, 5))
    head = HEAD.replace("use: {column: games}\n", "")
    (v,) = judged(one(TEST), frame, head=head, table_keys={"t": ROWS}).verdicts
    assert (v.code, v.reasons) == ("not-tested", ("only-averages",))
