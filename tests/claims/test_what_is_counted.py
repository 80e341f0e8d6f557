"""Rows, items and answers that are counted are those that the number is worked out from."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest
from scipy import stats

from explainer.analysis import power
from explainer.claims.results import results
from explainer.words.say import say

from .conftest import HEAD, IN_MODELS

TREND = "{kind: trend, measure: x, over: games, direction: up}"
NO_LINK = "{kind: no-association, x: x, y: y, margin: 0.7}"
LINK = "{kind: association, x: x, y: y, direction: positive}"


def rows(*of: tuple[str, float, float, float]) -> pd.DataFrame:
    return pd.DataFrame(of, columns=["ball", "games", "x", "y"])


def test_a_row_of_an_item_without_a_slope_is_not_used(judged, one) -> None:
    frame = rows(*((b, g, 5 + g / 10 + k, 1.0) for k, b in enumerate("abcd") for g in (0, 10, 20)),
                 ("e", 0, 9.0, 1.0))  # fmt: skip
    (v,) = judged(one(TREND), frame).verdicts
    assert (v.n_items, v.n_rows) == (4, 12)


#: Only at 0 were all three read, and there they lie on a line.
UNEVEN = rows(("a", 0, 11.6, 1.0), ("b", 0, 11.8, 2.0), ("c", 0, 12.0, 3.0),
              ("a", 20, 12.6, 1.5), ("c", 20, 11.0, 2.0))  # fmt: skip


def test_a_link_at_shared_checkpoints_counts_their_rows_and_says_so(judged, one) -> None:
    (v,) = judged(one(NO_LINK), UNEVEN).verdicts
    assert v.estimate == pytest.approx(1.0)
    assert (v.n_rows, v.detail.shared_checkpoints, v.detail.margin) == (3, 1, 0.7)


def test_a_link_at_shared_checkpoints_lacks_no_reading_and_no_like_use(judged, one) -> None:
    """All five count, read at the one checkpoint that counts: its wide range alone holds it back,
    though two of them have none of the later readings."""
    first = [("R1", 1, 74.0, 84.0), ("R2", 1, 76.0, 60.0), ("R3", 1, 74.0, 72.0),
             ("R4", 1, 76.0, 72.0), ("R5", 1, 76.0, 71.0)]  # fmt: skip
    later = [("R3", 6, 80.0, 48.0), ("R4", 6, 80.0, 36.0), ("R5", 6, 80.0, 37.0)]
    judgement = judged(one(LINK.replace("positive", "any")), rows(*first, *later))
    (v,) = judgement.verdicts
    assert (v.code, v.n_items, v.detail.shared_checkpoints) == ("cannot-tell", 5, 1)
    assert "unequal-use" in v.reasons and v.detail.design.left == ("R1", "R2")
    words = say(judgement).claims[v.claim.id]
    told = " ".join((words.says, *words.because, *words.beside))
    assert "so only the checkpoints that all of them share count here: one" in told
    assert "was read in full at every checkpoint: ball R1 and ball R2 lack at least one r" in told
    assert not words.held and "What else holds" not in " ".join(words.outcomes)


def test_those_without_a_reading_are_a_claims_own_and_all_of_them(judged, one) -> None:
    """Of two models one lacks an end and one has neither; of a third, that is no part of the
    first claim, one more lacks an end."""
    frame = rows(*((f"{m}{i}", g, 0.0, 50.0 + i + g * (0.1 + i / 50))
                   for m in "PTL" for i in range(5) for g in (0, 20)))  # fmt: skip
    frame["model"] = frame["ball"].str[0]
    gone = (frame["ball"].isin(["P2", "L3"]) & (frame["games"] == 20)) | (frame["ball"] == "T1")
    frame.loc[gone, "y"] = np.nan
    span = "measure: y, from: 0, to: 20, direction: any"
    both = one(f"{{kind: difference-in-change, {span}, by: model, a: P, b: T}}", "two") + one(
        f"{{kind: change, {span}}}", "all")
    of_two, of_all = judged(both, frame, head=IN_MODELS).verdicts
    assert of_two.detail.design.left == ("P2", "T1")
    assert sorted(of_all.detail.design.left) == ["L3", "P2", "T1"]


def test_two_items_that_were_read_every_time_give_no_link(judged, one) -> None:
    (v,) = judged(one(NO_LINK), UNEVEN).verdicts
    assert (v.code, v.low, v.p) == ("not-tested", None, None)
    assert v.detail.undefined == "too-few-items"


def test_who_stayed_is_asked_at_the_checkpoints_that_all_share(judged, one) -> None:
    x = np.random.default_rng(5).normal(10, 2, 8)
    y = x + np.random.default_rng(6).normal(0, 1, 8)
    first = [(f"i{k}", 0, a, b) for k, (a, b) in enumerate(zip(x, y, strict=True))]
    later = [(ball, 20, 12 - a, b * b) for ball, _, a, b in first[:6]]
    (v,) = judged(one(LINK), rows(*first, *later)).verdicts
    assert v.estimate == pytest.approx(stats.pearsonr(x, y).statistic)
    assert v.detail.design.stayed_estimate == pytest.approx(stats.pearsonr(x[:6], y[:6]).statistic)


def in_models(changes: dict[str, list[float]]) -> pd.DataFrame:
    made = []
    for model, moved in changes.items():
        for k, change in enumerate(moved):
            made += [(f"{model}{k}", model, games, 50 + change * games / 40, 1.0)
                     for games in (0, 40)]
    return pd.DataFrame(made, columns=["ball", "model", "games", "x", "y"])


def test_what_would_settle_a_change_goes_by_the_spread_inside_the_models(judged, one) -> None:
    """Far apart from each other, the models' own balls agree to a tenth."""
    frame = in_models({"p": [-8.0, -8.1, -7.9], "t": [-2.0, -2.1, -1.9]})
    test = "{kind: change, measure: x, from: 0, to: 40, direction: down, at_least: 1}"
    (v,) = judged(one(test), frame, head=IN_MODELS).verdicts
    assert v.power.smallest_effect < 1 < power.smallest_mean_effect(6, np.std(
        [-8.0, -8.1, -7.9, -2.0, -2.1, -1.9], ddof=1))  # fmt: skip


def test_the_items_that_show_no_change_do_so_four_times_in_five() -> None:
    margin, sd, wanted = 5.0, 8.0, 0.8
    n = power.items_within(margin, sd, wanted)
    assert n is not None
    drawn = np.random.default_rng(3).normal(0, sd, (20_000, n))
    half = stats.t.ppf(0.95, n - 1) * drawn.std(axis=1, ddof=1) / np.sqrt(n)
    inside = (np.abs(drawn.mean(axis=1)) + half < margin).mean()
    assert inside == pytest.approx(wanted, abs=0.02)
    assert n > power.items_for_mean(margin, sd, wanted)
    assert power.items_within(margin, 0.0) is power.items_within(0.0, sd) is None


def test_models_cost_a_link_what_they_cost_its_range(judged, one) -> None:
    rng = np.random.default_rng(8)
    frame = pd.DataFrame([(f"b{k}", "pt"[k % 2], 0, a, a + rng.normal()) for k, a in
                          enumerate(rng.normal(10, 2, 10))],
                         columns=["ball", "model", "games", "x", "y"])  # fmt: skip
    (v,) = judged(one(LINK), frame, head=IN_MODELS).verdicts
    assert v.power.smallest_effect == pytest.approx(power.smallest_r(9))
    assert v.power.items_needed == power.items_for_r(0.5) + 1


# An average over two oils is not held against one over a single oil.

OILS = HEAD.replace("use: {column: games, term: games rolled, unit: game}\n", "")
BY_OIL = "  - {id: o, report_says: I., plainly: I., " \
         "test: {kind: difference, measure: y, by: oil, a: thin, b: thick}}\n"  # fmt: skip


def on_oils(lacking: tuple[int, ...], n: int = 8) -> pd.DataFrame:
    """y is one board per x, and 10 less on the thick oil; ``lacking``: on the thin one only."""
    rows = [(f"B{i}", oil, 1.0 + i, 20 + i - 10 * (oil == "thick") + 0.1 * (i % 3))
            for i in range(n) for oil in ("thin", "thick") if oil == "thin" or i not in lacking]
    return pd.DataFrame(rows, columns=["ball", "oil", "x", "y"])


@pytest.mark.parametrize("kind", ["association", "no-association"])
def test_who_was_read_under_one_condition_only_is_left_out_of_a_link_and_said_to_be(
    judged, one, kind: str
) -> None:
    link = one(f"{{kind: {kind}, x: x, y: y}}")
    frame = on_oils((0, 1))
    judgement = judged(link + BY_OIL, frame, head=OILS)
    v = judgement.verdicts[0]
    whole = frame[~frame["ball"].isin(["B0", "B1"])].groupby("ball")[["x", "y"]].mean()
    assert v.n_items == 6
    assert v.estimate == pytest.approx(np.corrcoef(whole["x"], whole["y"])[0, 1])
    told = say(judgement, "viewer").claims["c"].method
    assert "Left out: 2 balls not read under every “oil”" in told
    [even] = judged(link + BY_OIL, on_oils(()), head=OILS).verdicts[:1]
    assert (even.n_items, even.detail.lacking) == (8, ())


def test_where_hardly_any_was_read_under_all_conditions_a_link_tells_nothing(judged, one) -> None:
    link = one("{kind: association, x: x, y: y}")
    judgement = judged(link + BY_OIL, on_oils((0, 1, 2, 3, 4, 5)), head=OILS)
    v = judgement.verdicts[0]
    assert (v.n_items, v.code, "unequal-use" in v.reasons) == (8, "cannot-tell", True)
    assert any("Most balls were not read under every “oil”" in why
               for why in map(str, say(judgement, "viewer").claims["c"].because))


@pytest.mark.parametrize("kind", ["no-worse, worse: down", "no-difference"])
@pytest.mark.parametrize(("left", "said"), [(2, True), (4, False)])
def test_two_left_handers_are_said_to_be_two(judged, one, kind: str, left: int, said: bool) -> None:
    rows = [(f"B{i}", "L" if i < left else "R", 1.0, 20 + (i * 7) % 5) for i in range(14)]
    frame = pd.DataFrame(rows, columns=["ball", "hand", "x", "y"])
    test = f"{{kind: {kind}, measure: y, by: hand, a: L, b: R}}"
    judgement = judged(one(test), frame, head=OILS)
    why = " ".join(map(str, say(judgement, "viewer").claims["c"].because))
    assert ("only 2 of 14 balls" in why) is said


#: Eight went along, each its own way; of two x stood still while y ran off, and one was read once.
STILL = rows(
    *((f"m{k}", g, 10 + g * (1 + k / 9), 5 + g * (1 + k / 5) + (k + g) % 3)
      for k in range(8) for g in (0, 1, 2, 3) if (k, g) != (7, 3)),
    *((f"s{k}", g, 12.0, 5 + 40.0 * g) for k in range(2) for g in (0, 1, 2, 3)),
    ("once", 0, 11.0, 6.0),
)


@pytest.mark.parametrize("test", [
    "{kind: no-association, x: x, y: y, margin: 0.7, within: yes}",
    "{kind: tracks-within, x: x, y: y, direction: positive}",
    "{kind: same-line, x: x, y: y}",
])
def test_what_a_link_within_counts_is_what_it_is_worked_out_from(judged, one, test) -> None:
    (v,) = judged(one(test), STILL).verdicts
    moved = STILL[STILL["ball"].str.startswith("m")]
    (alone,) = judged(one(test), moved).verdicts
    assert (v.n_items, v.n_rows) == (alone.n_items, alone.n_rows) == (8, 31)
    if "same-line" not in test:  # there the line is of all of them
        assert v.estimate == pytest.approx(alone.estimate)
        assert v.detail.r_within == pytest.approx(alone.detail.r_within)


def test_who_was_read_every_time_is_told_from_who_counts(judged, one) -> None:
    """Nine were read every time, seven of which moved."""
    judgement = judged(one("{kind: no-association, x: x, y: y, margin: 0.7, within: yes}"), STILL)
    (v,) = judgement.verdicts
    assert (v.detail.design.stayed, v.detail.design.stayed_all) == (7, 9)
    words = say(judgement).claims["c"]
    told = " ".join((*words.because, *words.beside))
    assert "For the 7 balls that count here of the 9 balls that have them all it is" in told
    assert "One whose cover roughness stood still says nothing of a link" in words.method


def test_the_line_between_is_of_those_that_stood_still_too(judged, one) -> None:
    level = STILL["ball"].rank(method="dense") * 5
    frame = STILL.assign(x=STILL["x"] + level, y=STILL["y"] % 30 + level)
    judgement = judged(one("{kind: same-line, x: x, y: y}"), frame)
    words = say(judgement).claims["c"]
    assert "over 8 balls (the line between them over 11 balls)" in words.method
    assert "as steep as that between 11 balls. With 8 balls the" in words.says
    [entry] = results(judgement)["claims"]
    assert entry["n_items"] == 8


def test_a_model_counts_once_in_the_slope_within_and_a_ball_in_the_line(judged, one) -> None:
    """Of eight balls that moved, six are of one model: the line between is one of balls."""
    sorts = {f"m{i}": "A" if i < 6 else "B" for i in range(8)}
    grouped = STILL.assign(model=STILL["ball"].map(sorts).fillna("A"))
    told = judged(one("{kind: same-line, x: x, y: y}"), grouped, head=IN_MODELS)
    assert told.verdicts[0].detail.groups_uneven
    method = say(told).claims["c"].method
    assert "In the slope within balls each model counts once, however many balls there" in method
    assert method.endswith("; in the line between balls each ball does.")


@pytest.mark.parametrize(
    ("names", "column", "said"),
    [
        ("aex", "y", "Three balls were also measured for total hook, 1 of them among those."),
        ("xyz", "y", "Apart from these, 3 balls were measured for total hook."),
        ("abxy", "board", "Made up (other.csv) names 4 balls, 2 of them among those."),
        ("xyz", "board", "Made up (other.csv) names 3 balls, none of them among those."),
        ("ab", "board", ""),
    ],
)
def test_whose_another_table_is(judged, one, names: str, column: str, said: str) -> None:
    """Four balls were tested, and another table is of other ones: no count is without whose."""
    frame = rows(*((b, g, 5 + g / 10 + k, 1.0) for k, b in enumerate("abcd") for g in (0, 10, 20)))
    beside = pd.DataFrame({"ball": list(names), column: 8.0 + np.arange(len(names))})
    tables = {"t": frame.drop(columns="y"), "other": beside}
    head = HEAD if column == "y" else HEAD[: HEAD.index("  y:")]
    tested = say(judged(one(TREND), tables, head=head)).tested
    assert said in tested and tested.startswith("Four balls")
    assert said or "made up" not in tested.casefold()


def test_what_is_read_aloud_names_those_whom_the_answers_rest_on(judged, one) -> None:
    """Two balls were followed, and the one claim is of three others; or of bowlers."""
    frame = rows(*((b, g, 5 + g / 10 + k, 1.0) for k, b in enumerate("ab") for g in (0, 10, 20)))
    beside = pd.DataFrame({"ball": list("xyz"), "y": [8.0, 9.0, 11.0]})
    text = one("{kind: limit, measure: y, at_least: 5, u: 0.1}")
    study = judged(text, {"t": frame.drop(columns="y"), "other": beside})
    assert "3 balls were measured for total hook" in say(study).short[0]
    tries = pd.DataFrame(
        [(w, oil, made, 20) for w in ("V", "W", "Z", "Q") for oil, made in (("a", 9), ("b", 8))],
        columns=["bowler", "oil", "strikes", "shots"],
    )  # fmt: skip
    text = one("{kind: rate-difference, successes: strikes, attempts: shots, by: oil, a: a, b: b,"
               " within: bowler, direction: higher, table: tries}")  # fmt: skip
    keys = {"tries": ", tested: {each: bowler}"}
    study = judged(text, {"t": frame, "tries": tries}, table_keys=keys)
    assert "Apart from these, 4 bowlers took part." in say(study).short[0]
    assert "Apart from these, 4 bowlers took part." in say(study).tested


@pytest.mark.parametrize(("names", "said"), [("abcdef", "names 6 balls, 4 of them among those"),
                                             ("abc", "")])  # fmt: skip
def test_who_opens_the_talk_are_not_all_where_a_claim_rests_on_more(judged, one, names, said):
    """Four balls were read and six tried: "twelve bowlers" after "ten took part" was of both."""
    frame = rows(*((b, g, 5 + g / 10 + k, 1.0) for k, b in enumerate("abcd") for g in (0, 10, 20)))
    tries = pd.DataFrame([{"ball": b, "side": side, "hit": 1 + k % 3, "n": 8}
                          for k, b in enumerate(names) for side in "LS"])  # fmt: skip
    tables = {"t": frame.drop(columns="y"), "other": tries}
    head = HEAD[: HEAD.index("  y:")]
    test = ("{kind: rate-difference, table: other, successes: hit, attempts: n, by: side, a: L, "
            "b: S, direction: higher}")  # fmt: skip
    words = say(judged(one(test), tables, head=head))
    for opening in (words.short[0], words.long[0]):
        assert said in opening
        assert said or "names" not in opening


@pytest.mark.parametrize(("more", "said"), [(0, False), (4, True)])
def test_each_ball_counts_once_is_said_of_those_that_have_a_drift(judged, one, more, said):
    """The models are uneven only by the balls that were read once and have no drift."""
    frame = rows(*((b, g, 5 + (-1) ** k * g / 10, 1.0)
                   for k, b in enumerate("abcdef") for g in (0, 10, 20)))  # fmt: skip
    late = rows(*((b, g, 5.0 - g / 9, 1.0) for b in "xyz" for g in (0, 10, 20)[: 1 + more]))
    frame = pd.concat([frame, late], ignore_index=True)
    frame["model"] = frame["ball"].map(dict.fromkeys("abc", "A")).fillna("B")
    words = say(judged(one(TREND), frame, head=IN_MODELS)).claims["c"]
    assert ("(each counted once)" in words.says) is said
