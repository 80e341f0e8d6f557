"""What a figure over use finds, worked out by hand: from line to line, checkpoint to checkpoint."""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd
import pytest
from claims.conftest import HEAD, IN_MODELS
from scipy import stats

from explainer.words.facts.figure import figure_facts

USES = (0, 10, 20, 40)
FIGURE = "figures:\n  - {id: f, kind: over-use, table: t, y: y%s}\n"
CLAIM = "  - {id: c, report_says: I., plainly: I., " \
        "test: {kind: change, measure: y, from: 0, to: 40}}\n"  # fmt: skip


def lines(*rows: tuple[float | None, ...]) -> pd.DataFrame:
    """A ball's y at each checkpoint of ``USES``; None where it was not read."""
    return pd.DataFrame(
        [(f"B{i}", "MN"[i % 2], use, 1.0, y) for i, row in enumerate(rows)
         for use, y in zip(USES, row, strict=True) if y is not None],
        columns=["ball", "model", "games", "x", "y"],
    )  # fmt: skip


def found(judged, frame: pd.DataFrame, more: str = "") -> tuple[Any, dict[str, Any]]:
    figure = judged(CLAIM, frame, more=FIGURE % more).figures[0]
    return figure, {f.kind: dict(f.numbers) for f in figure.findings}


#: Eight of ten fall at once, and stay there.
EARLY = (
    (50, 42.0, 40.2, 40.0), (51, 43.2, 41.3, 41.0), (52, 43.9, 42.0, 42.2), (49, 40.8, 39.1, 39.0),
)  # fmt: skip


def test_a_change_and_how_early_it_came(judged) -> None:
    figure, known = found(judged, lines(*EARLY))
    changes = [row[3] - row[0] for row in EARLY]
    half = stats.t.ppf(0.975, 3) * stats.sem(changes)
    said = known["change"]
    assert said["change"] == pytest.approx(np.mean(changes))
    assert said["low"] == pytest.approx(np.mean(changes) - half)
    assert said["high"] == pytest.approx(np.mean(changes) + half)
    assert (said["from"], said["to"], said["n_items"]) == (0, 40, 4)
    assert (said["n_down"], said["n_up"]) == (4, 0)
    assert said["mean_from"] == pytest.approx(50.5)
    assert said["mean_to"] == pytest.approx(np.mean([row[3] for row in EARLY]))
    share = sum(row[1] - row[0] for row in EARLY) / sum(changes)
    early = known["early-step"]
    assert (early["by"], early["of"]) == (10, 40)
    assert early["share"] == pytest.approx(share)
    assert (early["nearly_by"], early["flat"]) == (20, 0)
    assert "missing" not in known and "small" not in known and "odd-item" not in known
    assert known["edge"] == {"last": 40}
    assert figure.data.change == tuple(
        map(pytest.approx, (np.mean(changes), said["low"], said["high"])))  # fmt: skip
    assert [m.mean for m in figure.data.means] == pytest.approx(np.mean(EARLY, axis=0))
    at = np.array(EARLY)[:, 1]
    reach = stats.t.ppf(0.975, 3) * stats.sem(at)
    assert (figure.data.means[1].low, figure.data.means[1].high) == (
        pytest.approx(at.mean() - reach), pytest.approx(at.mean() + reach))  # fmt: skip


@pytest.mark.parametrize(
    ("shares", "by", "flat"),
    [
        ((0.61, 0.75, 1), 10, 0), ((0.59, 0.75, 1), 20, 0), ((0.3, 0.59, 1), None, 0),
        ((0.95, 1.0, 1), 10, 1), ((1.0, 1.08, 1), 10, 1), ((1.0, 1.3, 1), 10, 0),
    ],
)  # fmt: skip
def test_early_is_most_of_a_change_in_the_first_half_of_the_use(judged, shares, by, flat) -> None:
    """Four balls that fall by about 10, each by these shares of its own fall."""
    falls = (9.8, 10.1, 10.3, 9.9)
    _, known = found(judged, lines(*((50 + i, *(50 + i - s * f for s in shares))
                                     for i, f in enumerate(falls))))  # fmt: skip
    early = known.get("early-step")
    assert (early and early["by"]) == by
    if early:
        at = USES.index(by) - 1
        assert early["share"] == pytest.approx(shares[at])
        assert early["flat"] == flat


#: By 10 each of these had done three fifths of its fall, give or take what is in the second number.
NOISY = (
    (50, 44.8, 42.0, 40.0), (51, 39.0, 43.0, 41.5), (52, 49.9, 44.0, 42.2), (49, 38.4, 40.5, 38.8),
)  # fmt: skip


def test_a_share_is_told_only_where_more_than_half_stands_out(judged) -> None:
    """Two checkpoints were looked at, 10 and 20: each at 97.5%, by a t over items of the part less
    half of the whole (Fieller's question whether the share is one half)."""
    known = found(judged, lines(*NOISY))[1]
    falls = np.array([(row[0] - row[1], row[0] - row[2], row[0] - row[3]) for row in NOISY])
    shares = falls[:, :2].mean(axis=0) / falls[:, 2].mean()
    assert shares[0] > 0.6 and known["change"]["high"] < 0
    p = [stats.ttest_1samp(falls[:, k] - falls[:, 2] / 2, 0).pvalue for k in (0, 1)]
    assert p[0] > 0.025 and p[1] < 0.025
    assert known["early-step"]["by"] == 20
    assert known["early-step"]["share"] == pytest.approx(shares[1])
    noisier = [(a, b + wide, c + wide, d) for (a, b, c, d), wide in zip(NOISY, (3, -3, 3, -3),
                                                                        strict=True)]  # fmt: skip
    assert "early-step" not in found(judged, lines(*noisier))[1]


@pytest.mark.parametrize(("wide", "back"), [(0.1, 1), (2.0, 0)])
def test_what_came_back_is_told_only_where_it_stands_out(judged, wide, back) -> None:
    """They end 0.6 above where they were at 10, each by as much more or less as ``wide`` says; at
    20 each stands 2.5 above it, so by then some of it had surely gone again."""
    rows = [(50 + i, 40 + i, 42.5 + i, 40.6 + i + wide * away)
            for i, away in enumerate((1, -1, 0.5, -0.5))]  # fmt: skip
    figure, known = found(judged, lines(*rows))
    assert known["early-step"]["share"] > 1
    assert known["early-step"]["back"] == back
    facts = figure_facts(figure, judged(CLAIM, lines(*rows), more=FIGURE % "").study, {})
    assert facts["early_then"] == ("back" if back else "gone")
    assert facts["early_share"] == "all"


@pytest.mark.parametrize(("wide", "then"), [(0.1, "past"), (4.0, "past-or-luck")])
def test_a_fall_past_its_end_on_the_way_is_no_rest_that_came_later(judged, wide, then) -> None:
    """At 20 they stand about 3 below their end, each by as much more or less as ``wide`` says."""
    rows = [(50 + i, 41.5 + i, 37 + i + wide * away, 40 + i + away / 10)
            for i, away in enumerate((1, -1, 0.5, -0.5))]  # fmt: skip
    figure, known = found(judged, lines(*rows))
    early = known["early-step"]
    assert (early["by"], early["past_at"], early["gone_at"]) == (10, 20, None)
    facts = figure_facts(figure, judged(CLAIM, lines(*rows), more=FIGURE % "").study, {})
    assert facts["early_then"] == then


def test_an_error_that_a_checkpoint_shares_may_have_made_the_step(judged) -> None:
    """Half of each fall is 5, and they stand 3 past it at 10: an SD of 2 at one checkpoint, which
    is 2.4 in such a sum, is no longer beyond luck."""
    off = {"t": ", shared_sd: {y: 2}"}
    figure = judged(CLAIM, lines(*EARLY), more=FIGURE % "", table_keys=off).figures[0]
    assert "early-step" not in {f.kind for f in figure.findings}


def test_nothing_is_early_of_a_change_that_is_none_and_small_is_said(judged) -> None:
    none = (
        (50, 50.1, 49.9, 50.1), (51, 50.8, 51.0, 50.9), (52, 52.1, 52.2, 52.1), (53, 53, 53, 52.9),
    )  # fmt: skip
    _, known = found(judged, lines(*none))
    assert "early-step" not in known
    assert known["small"] == {"margin": 1, "change": pytest.approx(0.0)}
    assert (known["change"]["n_down"], known["change"]["n_up"]) == (2, 2)


def test_who_was_not_read_at_both_ends_has_no_change(judged) -> None:
    rows = (*EARLY, (90, 80.0, None, None), (None, 10.0, 9.0, 8.0), (48, None, 38.6, 38.2))
    figure, known = found(judged, lines(*rows))
    whole = (*EARLY, rows[-1])
    changes = [row[3] - row[0] for row in whole]
    assert known["change"]["n_items"] == 5
    assert known["change"]["change"] == pytest.approx(np.mean(changes))
    assert known["change"]["mean_from"] == pytest.approx(np.mean([row[0] for row in whole]))
    assert known["missing"] == {"count": 4}
    # The share by 10 is that of the four that were read then.
    share = sum(row[1] - row[0] for row in EARLY) / sum(r[3] - r[0] for r in EARLY)
    assert known["early-step"]["share"] == pytest.approx(share)
    # The mean line is of those whose change is told: it starts where the sentence says it does.
    assert [m.n_items for m in figure.data.means] == [5, 4, 5, 5]
    ends = (figure.data.means[0].mean, figure.data.means[-1].mean)
    assert ends == pytest.approx((known["change"]["mean_from"], known["change"]["mean_to"]))
    assert figure.table.rows[-1][0] == (
        "mean, the 5 read at both ends, of fewer where some were not read")
    assert figure.table.rows[-1][-1] == pytest.approx(ends[1])
    whole, _ = found(judged, lines(*EARLY))
    assert whole.table.rows[-1][0] == "mean"


def test_means_by_model_say_so_where_models_are_alike_at_the_ends_alone(judged) -> None:
    """Two of each model at both ends, and at one checkpoint between them one and two."""
    gap = ((50, 42.0, 40.2, 40.0), (51, 43.2, 41.3, 41.0), (52, None, 42.0, 42.2),
           (49, 40.8, 39.1, 39.0))  # fmt: skip
    figure = judged(CLAIM, lines(*gap), more=FIGURE % "", head=IN_MODELS).figures[0]
    assert figure.table.rows[-1][0].endswith("each group counted once")
    assert figure.data.means[1].mean == pytest.approx((42.0 + (43.2 + 40.8) / 2) / 2)
    whole = judged(CLAIM, lines(*EARLY), more=FIGURE % "", head=IN_MODELS).figures[0]
    assert whole.table.rows[-1][0] == "mean"


@pytest.mark.parametrize(("own", "apart"), [(-12.0, False), (-15.0, True), (3.0, True)])
def test_an_odd_one_stands_apart_from_the_middle_of_the_others(judged, own, apart) -> None:
    """Median −10, median distance 0.5 or so; apart past three of 1.4826 times that."""
    falls = [-10.0, -9.5, -10.5, -9.2, -10.9, own]
    d = np.array(falls)
    spread = 1.4826 * np.median(np.abs(d - np.median(d)))
    assert (abs(own - np.median(d)) > 3 * spread) == apart
    _, known = found(judged, lines(*((50, 45, 44, 50 + f) for f in falls)))
    odd = known.get("odd-item")
    assert (odd is not None) == apart
    if odd:
        assert (odd["item"], odd["change"], odd["others"]) == (
            "B5", pytest.approx(own), pytest.approx(np.median(d)))  # fmt: skip
    _, four = found(judged, lines(*((50, 45, 44, 50 + f) for f in falls[2:])))
    assert "odd-item" not in four
    # On a scale so coarse that most read the very same, a step aside is no oddity.
    _, alike = found(judged, lines(*((50, 45, 44, 50 + f) for f in (-10, -10, -10, -10, -10, -14))))
    assert "odd-item" not in alike


def test_who_moved_first_is_said_only_where_all_were_read_by_then(judged) -> None:
    """B0 by 10, the others later; not where B1 was not read at 10, and may have been as early."""
    gauged = HEAD.replace("matters_from: 1}", "matters_from: 1, repeatability_sd: 0.1}")
    for second, first, by in ((50.0, ("B0",), 10.0), (None, (), None)):
        frame = lines((50, 40, 40, 40), (50, second, 40, 40), (50, 50, 50, 40))
        [figure] = judged(CLAIM, frame, head=gauged, more=FIGURE % ", walk: yes").figures
        whole = figure.walk.whole
        assert (whole.first, whole.first_by, whole.surely) == (first, by, 3)


def test_groups_have_their_own_mean_change(judged) -> None:
    figure = judged(CLAIM, lines(*EARLY), more=FIGURE % ", group: model").figures[0]
    said = [dict(f.numbers) for f in figure.findings if f.kind == "group-change"]
    for k, group in enumerate("MN"):
        own = [row[3] - row[0] for row in EARLY[k::2]]
        assert said[k] == {"group": group, "change": pytest.approx(np.mean(own)), "n_items": 2}
    rows = figure.table.rows
    assert [row[:2] for row in rows] == [
        ("B0", "M"), ("B1", "N"), ("B2", "M"), ("B3", "N"), ("mean", "")]  # fmt: skip
    assert rows[-1][2:] == tuple(map(pytest.approx, np.mean(EARLY, axis=0)))
    assert rows[2][2:] == EARLY[2]


def test_two_lines_have_no_range(judged) -> None:
    figure, known = found(judged, lines(*EARLY[:2]))
    assert figure.data.change == (pytest.approx(-10.0), None, None)
    assert {(m.low, m.high) for m in figure.data.means} == {(None, None)}
    assert known["change"]["n_items"] == 2
