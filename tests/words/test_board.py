"""The top of a page: short names answered one by one, and the board that draws every claim."""

from __future__ import annotations

from dataclasses import replace
from itertools import islice
from types import SimpleNamespace

import pytest

from explainer.charts.board import (
    EDGE,
    EITHER,
    HOLLOW,
    LEAST,
    LEFT,
    READINGS,
    RIGHT,
    SMALL,
    BoardRow,
    board_plate,
    board_rows,
)
from explainer.charts.display_list import Dots, Stroke
from explainer.charts.labels import overlaps
from explainer.charts.strip import HOLLOW as HOLLOW_BAR, outcomes_plate, parts_of, strip_plate
from explainer.claims.verdict import Strip
from explainer.words.page import headline as headlines
from explainer.words.phrases.book import teller_for
from explainer.words.say import say


def _said(made, *wanted: tuple[str, str, dict[str, object]]):
    claims = [
        made.claim(kind, f"c{i}", answers_question=True, **more)
        for i, (kind, _, more) in enumerate(wanted)
    ]
    study = made.study(claims)
    verdicts = tuple(made.verdict(study, f"c{i}", code) for i, (_, code, _) in enumerate(wanted))
    judgement = made.judgement(study, verdicts)
    return judgement, say(judgement)


def test_short_names_are_answered_one_by_one(made):
    _, words = _said(
        made,
        ("change", "backed", {"briefly": "Smoother"}),
        ("association", "cannot-tell", {"briefly": "Hooks less"}),
    )
    assert words.headline == "Smoother: yes. Hooks less? This test can't tell yes from no."
    assert words.scope == "Going by 8 balls, over 60 games and no more. Yours may differ."


def test_the_scope_takes_in_the_claim_with_the_fewest_balls(made):
    """Nothing is marked as the answer: every claim counts, the one of 4 balls, too."""
    study = made.study([made.claim("change", "c0"), made.claim("association", "c1")])
    verdicts = (made.verdict(study, "c0", "backed"),
                replace(made.verdict(study, "c1", "cannot-tell"), n_items=4))  # fmt: skip
    words = say(made.judgement(study, verdicts))
    told = "Going by 4 to 8 balls a claim, over 60 games and no more. Yours may differ."
    assert words.scope == told


def test_the_last_words_count_nobody_and_hint_only_where_a_claim_is_about_others(made):
    """Claims rest on 4, 8 and 32 balls, each said where it counts; a range of them is of none."""
    study = made.study([made.claim("change", "c0"), made.claim("association", "c1")])
    verdicts = (made.verdict(study, "c0", "backed"),
                replace(made.verdict(study, "c1", "cannot-tell"), n_items=4))  # fmt: skip
    general = say(made.judgement(study, verdicts))
    last = "All of this goes by what was tested. Your own ball may differ."
    assert general.short[-1].endswith(last)
    assert "a fair hint about other balls like these" in general.long[-1]
    alone = tuple(replace(v, n_items=1) for v in verdicts)
    assert say(made.judgement(study, alone)).long[-1].endswith(
        "All of this goes by what was tested. It is no promise about the one in your bag."
    )


def test_the_first_screen_says_what_was_tested_where_that_is_short(made):
    for words, told in (("Eight balls of one model", True), ("One more word " * 12, False)):
        study = made.study([made.claim("change", "c0")])
        tested = study.description.tested.model_copy(update={"described": words})
        said = study.description.model_copy(update={"tested": tested})
        study = replace(study, description=said)
        judgement = made.judgement(study, (made.verdict(study, "c0", "backed"),))
        scope = say(judgement).scope
        assert scope.startswith(f"{words}. Going by") is told
        assert scope.endswith("Going by 8 balls, over 60 games and no more. Yours may differ.")


def test_the_headline_says_none_where_none_is_settled(made):
    study = made.study([made.claim("change", "c0")])
    teller = teller_for(made.judgement(study, (made.verdict(study, "c0", "backed"),)), "viewer")
    said = [teller.fragment(["headline.rest"], {"open": open_, "first_open": first,
                                                "answered": answered, "n_open": 1,
                                                "open_told": "one", "n_answered": 2,
                                                "answered_told": "two"}, about="head")
            for open_, first, answered in ((True, True, False), (True, False, False),
                                           (False, True, True), (True, True, True))]  # fmt: skip
    assert said == ["none of it is settled", "one claim stays open, two more are answered",
                    "two claims are answered", "two claims are answered"]  # fmt: skip


@pytest.mark.parametrize(
    ("kind", "name", "said"),
    [("change", "Smoother", "Smoother: yes, by too little to matter."),
     ("no-change", "Stays hard", "Stays hard: yes.")],
)  # fmt: skip
def test_an_effect_too_small_to_matter_is_no_plain_yes(made, kind, name, said):
    """One pin more, where ten count, is no ``yes``; steady within what counts is one."""
    study = made.study([made.claim(kind, "it", answers_question=True, briefly=name)])
    verdict = made.verdict(study, "it", "backed", ("real-but-small",))
    assert say(made.judgement(study, (verdict,))).headline == said


def test_what_stands_at_the_head_without_a_short_name_says_it_too(made):
    """Too small to matter, and what cannot be answered, are said where the answer is."""
    study = made.study([made.claim("change", "it", answers_question=True, plainly="Is it so?")])
    small = made.verdict(study, "it", "backed", ("real-but-small",))
    words = say(made.judgement(study, (small,)))
    assert "too little to matter" in words.headline
    assert "too little to matter" in words.answer
    _, words = _said(
        made,
        ("change", "backed", {"briefly": "Smoother"}),
        ("association", "cannot-tell", {"plainly": "Rough ones hook more."}),
        ("limit", "cannot-tell", {"plainly": "Is it so, and for how long?"}),
    )
    assert "this study can't answer" in words.headline


def test_a_claim_without_a_short_name_keeps_the_whole_sentence(made):
    _, words = _said(
        made,
        ("change", "backed", {"briefly": "Smoother"}),
        ("association", "cannot-tell", {}),
    )
    assert ": yes" not in words.headline
    assert len(words.headline.split()) <= 20


def test_a_claim_is_named_in_no_words_but_its_own(made):
    """“Smoother” of “Plain change” would be taken for another claim."""
    for plainly, name in (("Plain change.", "Plain change"), ("Word " * 12, "")):
        _, words = _said(made, ("change", "backed", {"plainly": plainly}),
                         ("association", "cannot-tell", {"plainly": plainly}))  # fmt: skip
        assert [words.claims[c].brief for c in ("c0", "c1")] == [name, name]
        assert "moother:" not in words.headline


def test_short_names_too_many_for_the_first_screen_are_not_told_so(made):
    long = "Smooth by the end of ten games"
    _, words = _said(made, *(("change", "backed", {"briefly": long}) for _ in range(4)))
    assert ": yes" not in words.headline
    assert len(words.headline.split()) <= 20


def _texts(plate) -> list[str]:
    return [text.text for text in plate.texts]


def test_the_board_names_its_rows(made):
    judgement, words = _said(
        made,
        ("change", "backed", {"briefly": "Smoother"}),
        ("association", "cannot-tell", {"plainly": "Balls with a rougher cover do hook more."}),
    )
    rows = board_rows(judgement.verdicts, words.claims)
    assert [r.name for r in rows] == ["Smoother", "Balls with a rougher cover do hook more"]
    texts = _texts(board_plate(rows))
    assert "1  Smoother" in texts
    at = next(i for i, text in enumerate(texts) if text.startswith("2  Balls"))
    wrapped = [" ".join(texts[at : at + lines]) for lines in (2, 3, 4)]
    assert "2  Balls with a rougher cover do hook more" in wrapped
    assert not any("…" in t for t in texts)


def test_a_bar_wholly_where_it_is_needed_is_hollow_unless_the_claim_is_backed(made):
    judgement, words = _said(
        made, ("change", "backed", {}), ("change", "leans", {}), ("change", "cannot-tell", {})
    )
    wholly = Strip(-20.0, -25.0, -15.0, (None, 0.0), None, 0.0, "microinch", "smoother", "rougher")
    across = replace(wholly, value=-5.0, low=-15.0, high=5.0)
    backed, leans, cannot = judgement.verdicts
    verdicts = (
        replace(backed, strip=wholly), replace(leans, strip=wholly), replace(cannot, strip=across)
    )  # fmt: skip
    rows = board_rows(verdicts, words.claims)
    assert [r.held for r in rows] == [False, True, False]
    assert HOLLOW in _texts(board_plate(rows))
    assert HOLLOW not in _texts(board_plate((rows[0], rows[2])))


def test_a_range_right_across_nothing_is_not_drawn_where_a_claim_of_either_side_needs_it(made):
    """Folded at nothing it would lie there whole, from 0 to 3.3."""
    judgement, words = _said(made, ("change", "cannot-tell", {}), ("change", "backed", {}))
    across = Strip(-0.3, -3.3, 2.8, None, None, 0.0, "microinch", beyond=0.0)
    beside = replace(across, value=-2.0, low=-3.0, high=-1.0)
    strips = zip(judgement.verdicts, (across, beside), strict=True)
    rows = board_rows(tuple(replace(v, strip=strip) for v, strip in strips), words.claims)
    assert rows[0].low is not None and rows[0].high is not None
    assert rows[0].low / rows[0].high == pytest.approx(-2.8 / 3.3)  # one scale on both sides
    assert rows[0].low == pytest.approx(LEAST)  # and as large as it may be
    assert (rows[1].low, rows[1].high) == pytest.approx((1 / 3, 1.0))
    # That 2.8 the other way would do as well is said, since the hatching cannot show it.
    assert [row.either for row in rows] == [True, False]
    assert EITHER in _texts(board_plate(rows)) and EITHER not in _texts(board_plate(rows[1:]))


def test_both_sides_of_the_edge_have_one_scale(made):
    """The part of a bar that lies where the claim needs it is the part of the range that does."""
    judgement, words = _said(made, ("change", "cannot-tell", {}))
    strip = Strip(-0.7, -3.6, 5.0, (1.0, None), None, 0.0, "microinch")
    [row] = board_rows((replace(judgement.verdicts[0], strip=strip),), words.claims)
    plate = board_plate((row,))
    [bar] = [m.runs[0] for m in plate.marks if isinstance(m, Stroke) and m.width == 3.0]
    left, right = bar[0][0], bar[1][0]
    assert (right - EDGE) / (right - left) == pytest.approx(4.0 / 8.6)


def test_readings_that_are_no_range_are_named_below_the_rows():
    range_ = BoardRow(1, "backed", 0.1, 0.9, 0.5, "Smoother")
    read = BoardRow(2, "against", -0.5, 1.0, None, "All pass", readings=(-0.5, 1.0))
    assert READINGS in _texts(board_plate((range_, read)))
    assert READINGS not in _texts(board_plate((range_,)))
    alike = replace(read, low=-1.0, high=-1.0, readings=(-1.0,), held=True)  # words stand there
    assert not {READINGS, HOLLOW} & set(_texts(board_plate((range_, alike))))
    both = board_plate((replace(range_, code="leans", held=True), read))
    assert {READINGS, HOLLOW} <= set(_texts(both))
    assert overlaps(both) == []
    assert max(text.y for text in both.texts) < both.height


def test_what_the_strip_says_holds_a_claim_back_makes_its_bar_hollow(made):
    """Only where its range would do, or make it lean: strip, board and legend say one thing."""
    study = made.study([made.claim("change", "it")])
    across = Strip(-5.0, -15.0, 5.0, (None, 0.0), None, 0.0, "microinch", "smoother", "rougher")
    leans = replace(across, inner=(-11.0, -1.0))
    for reasons, strip, held in (
        (("chosen",), leans, True), (("chosen",), across, False), ((), leans, False),
    ):  # fmt: skip
        verdict = replace(made.verdict(study, "it", "cannot-tell", reasons), strip=strip)
        judgement = made.judgement(study, (verdict,))
        words = say(judgement).claims
        (row,) = board_rows((verdict,), words)
        assert row.held is held
        hollow = strip_plate(across, words["it"].note, bool(words["it"].held))
        bar = [m for m in hollow.marks if isinstance(m, Stroke) and m.width == HOLLOW_BAR]
        assert bool(bar) is held


def test_one_catch_comes_first_and_it_is_the_same_everywhere(made):
    """What only explains (one kind was read, kinds that went alike) comes before it in the order
    of the reasons, and is the catch nowhere."""
    study = made.study([made.claim("change", "it")])
    wholly = Strip(-20.0, -25.0, -15.0, (None, 0.0), None, 0.0, "microinch", "smoother", "rougher")
    verdict = replace(
        made.verdict(study, "it", "leans", ("one-group", "groups", "cut-off", "dropouts")),
        strip=wholly,
    )
    judgement = made.judgement(study, (verdict,))
    words = say(judgement, "viewer").claims["it"]
    # A strip names the first of those that hold it back, and the sentence each of them.
    assert words.note == "the catch: the scale ends there; and more"
    assert "a lean: the scale ends there; some readings are missing." in words.says
    assert words.because[0] == words.catch and "the scale goes" in words.catch
    alone = replace(verdict, reasons=("one-group",))
    only = say(made.judgement(study, (alone,)), "viewer").claims["it"]
    assert (only.held, only.catch) == ("", "")


def test_one_number_is_told_as_a_best_guess_and_a_second_part_lends_its_range(made):
    study = made.study([made.claim("change", "it")])
    bare = Strip(-5.0, None, None, (None, 0.0), None, 0.0, "microinch", "smoother", "rougher")
    ranged = replace(bare, low=-8.0, high=-2.0)
    verdict = replace(made.verdict(study, "it", "backed"), strip=bare)
    words = say(made.judgement(study, (verdict,))).claims
    (row,) = board_rows((verdict,), words)
    assert row.bare == "best guess −5 microinches"
    plate = board_plate((row,))
    assert row.bare in _texts(plate)
    cleared = [m for m in plate.marks if isinstance(m, Stroke) and m.fill == "paper"]
    spans = [(m.runs[0][:, 0].min(), m.runs[0][:, 0].max()) for m in cleared]
    assert any(left <= LEFT and right >= RIGHT for left, right in spans)  # no hatching left of it
    part = replace(verdict, strip=ranged)
    (row,) = board_rows((replace(verdict, parts=(verdict, part)),), words)
    assert not row.bare and row.low is not None
    weaker = replace(part, code="leans")
    (row,) = board_rows((replace(verdict, parts=(verdict, weaker)),), words)
    assert row.bare


def test_a_number_without_a_range_draws_no_dot(made):
    judgement, words = _said(made, ("change", "backed", {}))
    (row,) = board_rows(judgement.verdicts, words.claims)
    drawn = board_plate((row,)).marks
    bare = board_plate((replace(row, low=0.0, high=0.0, value=0.0),)).marks
    assert len(bare) < len(drawn)


def test_what_is_turned_down_for_its_size_has_no_bar_where_the_claim_needs_one(made):
    """A change of 1 the claimed way, and 6 would count: a bar there would look half backed."""
    study = made.study([made.claim("change", "it", briefly="Smoother")])
    verdict = made.verdict(study, "it", "against")
    small = replace(verdict, estimate=-1.0, low=-4.0, high=2.0,
                    strip=replace(verdict.strip, value=-1.0, low=-4.0, high=2.0))  # fmt: skip
    rows = {}
    for name, given in (("other", verdict), ("small", small)):
        words = say(made.judgement(study, (given,)))
        (rows[name],) = board_rows((given,), words.claims)
    drawn = {name: [t.text for t in board_plate((row,)).texts] for name, row in rows.items()}
    assert SMALL in drawn["small"] and SMALL not in drawn["other"]
    assert len(board_plate((rows["small"],)).marks) < len(board_plate((rows["other"],)).marks)
    marks = board_plate((rows["small"],)).marks
    at = next(i for i, m in enumerate(marks) if getattr(m, "text", "") == SMALL)
    cleared = marks[at - 1]  # on the hatching it would be said of what the claim needs
    assert isinstance(cleared, Stroke) and cleared.fill == "paper"
    left, right = cleared.runs[0][:, 0].min(), cleared.runs[0][:, 0].max()
    assert left <= marks[at].box.left and marks[at].box.right <= right


def test_a_strong_link_lies_far_inside_what_it_needs(made):
    """The scale ends at 1: 0.94 is no close call, and a gap near 0 none."""
    kinds = ("association", "repeatability", "change")
    judgement, words = _said(made, *((kind, "backed", {}) for kind in kinds))
    strong = Strip(0.94, 0.64, 0.99, (0.0, 1.0), None, 0.0, "r")
    small = Strip(0.1, 0.02, 0.6, (0.0, 1.0), None, 0.0, "Shore D")
    link, gap, change = judgement.verdicts
    near = replace(change, strip=replace(small, value=0.3, low=0.1, high=0.9))
    rows = board_rows((replace(link, strip=strong), replace(gap, strip=small), near), words.claims)
    drawn = [(row.low, row.value, row.high) for row in rows]
    assert drawn[0] == pytest.approx((0.64 / 0.99, 0.94 / 0.99, 1))
    # What lies between the farthest reading and the edge, as a share of the largest such room.
    assert drawn[1] == pytest.approx((0.4 / 0.98, 0.9 / 0.98, 1))
    # A change may lie below 0: there the claim ends, and the range is close to that.
    assert drawn[2][0] == pytest.approx(0.1 / 0.5)


def test_readings_against_a_limit_are_marked_one_by_one(made):
    """Ends alone, with a line between them, look as if nearly all of it passed."""
    judgement, words = _said(made, ("limit", "against", {}))
    strip = Strip(None, None, None, (74.0, None), (72.8, 75.2), None, "Shore D",
                  measured=(70.5, 73.4, 73.6, 80.0, 82.1))  # fmt: skip
    (verdict,) = judgement.verdicts
    rows = board_rows((replace(verdict, strip=strip),), words.claims)
    board = board_plate(rows)
    assert rows[0].readings == pytest.approx([(v - 74) / 8.1 for v in strip.measured], abs=0.006)
    drawn = strip_plate(strip)
    for plate in (board, drawn):
        marks = [m for m in plate.marks if isinstance(m, Dots) and m.shape == "diamond"]
        assert [len(m.at) for m in marks] == [5]
    assert {"lowest 70.5", "highest 82.1"} <= set(_texts(drawn))


def test_a_guess_stands_on_the_board_as_on_its_strip(made):
    """One number, one rounding: what is told to two digits there is not told to three here."""
    judgement, words = _said(made, ("repeatability", "against", {}))
    strip = Strip(2.05168, None, None, (0.0, 0.5), None, None, "Shore D", rough=True)
    (verdict,) = judgement.verdicts
    (row,) = board_rows((replace(verdict, strip=strip),), words.claims)
    assert row.bare == "best guess 2.1 Shore D points"
    assert "2.1" in _texts(strip_plate(strip))


def test_steady_is_not_told_as_there(made):
    """*Backed says that it is there* is of a change, and not of a claim that nothing changed."""
    for kind, told in (("change", True), ("no-change", False)):
        study = made.study([made.claim(kind, "it")])
        verdict = replace(made.verdict(study, "it", "backed"), estimate=-7.6, low=-13.6, high=-1.5)
        says = say(made.judgement(study, (verdict,))).claims["it"].says
        assert ("it is there" in says) is told


@pytest.mark.parametrize("doubts", [(), (39,), tuple(range(40))])
def test_many_asked_claims_do_not_double_the_choices_of_a_headline(doubts):
    """120 claims may be marked as those that the question turns on."""
    told = [SimpleNamespace(code="leans" if i in doubts else "backed") for i in range(40)]
    chosen = list(islice(headlines._choices(told), 5000))
    assert 0 < len(chosen) < 1000
    assert all(c[0] is told[0] for c in chosen if len(c) > 1)
    # Never only what is backed, where not all is.
    doubted = [any(v.code != "backed" for v in c) for c in chosen if len(c) > 1]
    assert all(doubted) is bool(doubts)


def test_several_that_say_nothing_are_not_told_without_the_one_that_leans() -> None:
    told = [SimpleNamespace(code=c) for c in ("cannot-tell", "leans", "cannot-tell")]
    for chosen in headlines._choices(told):
        assert any(v.code == "leans" for v in chosen) or chosen == (told[0],)


def test_a_size_asked_for_either_way_is_shown_on_both_sides_of_nothing():
    """Without its edges nobody could see why a dot just above nothing is hollow."""
    asked = Strip(0.2, -0.43, 0.84, None, None, 0.0, "Shore D per game", beyond=0.25,
                  outcomes=(-0.4, -0.1, 0.1, 0.3))  # fmt: skip
    assert "needs" in parts_of(asked, False)
    for plate in (strip_plate(asked), outcomes_plate(asked)):
        assert "the claim needs 0.25 or more, either way" in _texts(plate)
        upright = [float(run[0][0]) for m in plate.marks if isinstance(m, Stroke)
                   for run in m.runs if len(run) == 2 and run[0][0] == run[1][0]]  # fmt: skip
        assert len(set(upright)) >= 3  # both edges, and nothing between them
    any_size = replace(asked, beyond=0.0)
    assert "needs" not in parts_of(any_size, False)
    assert not any("claim needs" in text for text in _texts(strip_plate(any_size)))
