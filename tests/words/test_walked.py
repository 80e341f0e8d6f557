"""What the pages of two walked sheets said that their authors would not have."""

from __future__ import annotations

from pathlib import Path

import pytest

from explainer.charts.kinds import draw
from explainer.claims.judge import judge
from explainer.study.load import load_study, open_workspace
from explainer.words.say import say

OIL = """\
title: Oil
question: Does hook fade?
tested: {each: ball, count: 3}
use: {column: day, term: days since the first, unit: UNIT}
measures:
  hook: {term: total hook, unit: board}
tables:
  shots: {file: t.csv, order: shot, missing: [n/a]}
figures:
  - {id: over, kind: over-use, table: shots, y: hook, walk: yes}
claims:
  - id: fades
    report_says: The hook faded.
    plainly: The hook faded.
    figure: over
    test: {kind: change, table: shots, measure: hook, from: 0, to: 21, direction: down}
"""
ENDS = {"Ant": (12, 11.5), "Bee": (10, 10.8), "Cat": (7, 6.4)}
SHOTS = "ball,day,shot,hook\n" + "".join(
    f"{ball},{day},{shot},{'n/a' if (at, day, shot) == (1, 7, 2) else f'{h + shot / 10:.1f}'}\n"
    for at, (ball, ends) in enumerate(ENDS.items())
    for day, h in ((0, ends[0]), (7, ends[0]), (21, ends[1])) for shot in (1, 2)
)  # fmt: skip
SEASON = """\
title: Season
question: Does coaching help?
tested: {each: bowler, count: 6}
measures:
  score: {term: score, unit: pin}
tables:
  nights: {file: t.csv}
figures:
  - {id: sides, kind: groups, table: nights, y: score, by: COLUMN}
claims:
  - id: differs
    report_says: Coached bowlers score higher.
    plainly: Coached bowlers score higher.
    figure: sides
    test: {kind: difference, measure: score, by: COLUMN, a: A, b: B, direction: higher}
"""
LINK = """\
title: Link
question: Do rough covers hook more?
tested: {each: ball, count: 6}
measures:
  hook: {term: total hook, unit: board}
  texture: {term: cover roughness, unit: microinch}
tables:
  balls: {file: t.csv}
figures:
  - {id: dots, kind: scatter, table: balls, x: texture, y: hook}
claims:
  - id: linked
    report_says: Rough covers hook more.
    plainly: Rough covers hook more.
    figure: dots
    test: {kind: association, table: balls, x: texture, y: hook, given: [COLUMN],
           direction: positive}
"""


def said(tmp_path: Path, description: str, rows: str) -> tuple[str, str]:
    """All words of a study, and its first figure as drawn."""
    folder = tmp_path / "studies" / "one"
    folder.mkdir(parents=True)
    (folder / "study.yaml").write_text(description)
    (folder / "t.csv").write_text(rows)
    judgement = judge(load_study(folder, open_workspace(tmp_path)))
    words = say(judgement)
    [figure] = judgement.figures
    return repr(words), repr(draw(figure, words.figures[figure.figure.id]).marks)


def test_no_ball_is_rolled_for_three_weeks_and_a_shot_that_nobody_read_is_none(tmp_path):
    words, _ = said(tmp_path, OIL.replace("UNIT", "day"), SHOTS)
    assert "followed for 21 days" in words and "rolled for 21 days" not in words
    assert "17 shots" in words and "18 shots" not in words
    assert "Neither of the other two moved further" in words
    assert "None of the other two" not in words


def test_a_ball_is_rolled_for_its_games(tmp_path):
    words, _ = said(tmp_path, OIL.replace("UNIT", "game"), SHOTS)
    assert "rolled for 21 games" in words


@pytest.mark.parametrize(("column", "label"), [("coached", "coached bowlers"),
                                               ("clinic", "bowlers with clinic: yes")])  # fmt: skip
def test_a_group_called_yes_is_named_with_what_it_answers(tmp_path, column, label):
    study = SEASON.replace("COLUMN", column).replace("A,", "yes,").replace("b: B", "b: no")
    rows = f"bowler,{column},score\n" + "".join(
        f"B{n},{'no' if n % 2 else 'yes'},{150 + 9 * n}\n" for n in range(6))  # fmt: skip
    words, drawn = said(tmp_path, study, rows)
    assert label in words
    for bare in ("for yes", "yes and no", "between yes", "Yes and no"):
        assert bare not in words
    assert f"'{column}'" in drawn.casefold()


@pytest.mark.parametrize(("column", "six", "who"), [
    ("coached", "3 coached and 3 not coached", "the bowlers not coached by"),
    ("clinic", "3 with clinic: yes and 3 with clinic: no", "the bowlers with clinic: no by"),
])  # fmt: skip
def test_lines_of_groups_called_yes_and_no_are_told_apart_in_words(tmp_path, column, six, who):
    rows = f"bowler,{column},day,hook\n" + "".join(
        f"B{n},{'no' if n % 2 else 'yes'},{day},{150 + 9 * n + day * (2 + n % 2) / 2 + n % 3}\n"
        for n in range(6) for day in (0, 21))  # fmt: skip
    study = OIL.replace("UNIT", "day").replace("each: ball, count: 3", "each: bowler, count: 6")
    study = study.replace(", order: shot", "").replace("y: hook,", f"y: hook, group: {column},")
    words, drawn = said(tmp_path, study, rows)
    assert six in words and who in words
    assert "yes bowlers" not in words
    assert ("'coached'" if column == "coached" else "'with clinic: yes'") in drawn


@pytest.mark.parametrize(("column", "six", "key"), [
    ("resurfaced", "3 resurfaced and 3 not resurfaced", ("'resurfaced'", "'not resurfaced'")),
    ("plug", "3 with plug: yes and 3 with plug: no", ("'with plug: yes'", "'with plug: no'")),
])  # fmt: skip
def test_dots_of_what_is_held_alike_are_told_apart_with_what_they_answer(
    tmp_path, column, six, key
):
    """No figure names the column then: its claim does."""
    rows = f"ball,{column},hook,texture\n" + "".join(
        f"B{n},{'no' if n % 2 else 'yes'},{9 + n / 3 + n % 2},{40 + 5 * n + n % 4}\n"
        for n in range(6))  # fmt: skip
    study = LINK.replace("COLUMN", column)
    words, drawn = said(tmp_path, study, rows)
    assert six in words
    assert all(name in drawn for name in key)


@pytest.mark.parametrize("named", ["", ", group: coached"])
def test_a_key_of_the_group_that_the_study_sorts_by_says_what_it_answers(tmp_path, named):
    rows = "bowler,coached,day,hook\n" + "".join(
        f"B{n},{'no' if n % 2 else 'yes'},{day},{150 + 9 * n + day * (2 + n % 2) / 2 + n % 3}\n"
        for n in range(6) for day in (0, 21))  # fmt: skip
    study = OIL.replace("UNIT", "day").replace(", order: shot", "").replace(
        "each: ball, count: 3", "each: bowler, count: 6, group: coached"
    ).replace("y: hook,", f"y: hook{named},")  # fmt: skip
    words, drawn = said(tmp_path, study, rows)
    assert "3 coached and 3 not coached" in words
    assert "'not coached'" in drawn and "'yes'" not in drawn


def test_nobody_is_not_an_odd_one(tmp_path):
    study = SEASON.replace("COLUMN", "lane").replace("A,", "'1',").replace("b: B", "b: '2'")
    study = study.replace("direction: higher", "direction: higher, within: bowler")
    rows = "bowler,lane,score\n" + "".join(f"B{n},{n % 2 + 1},{150 + 9 * n}\n" for n in range(6))
    words, _ = said(tmp_path, study, rows)
    assert "only 0" not in words and "There is not one bowler to go by" in words


def test_the_first_of_the_weeks_is_no_week_gone_by(tmp_path):
    """`their reading after 8 weeks less their reading after 1 week` is seven weeks apart."""
    rows = "bowler,week,hook\n" + "".join(
        f"B{n},{week},{150 + 9 * n + week * (1 + n % 3)}\n" for n in range(6) for week in (1, 2, 8))
    study = OIL.replace("UNIT", "week").replace("each: ball, count: 3", "each: bowler, count: 6")
    study = study.replace("column: day, term: days since the first", "column: week, term: weeks")
    study = study.replace(", order: shot", "").replace("from: 0, to: 21", "from: 1, to: 8")
    words, _ = said(tmp_path, study, rows)
    assert "reading in week 8 less" in words and "reading in week 1" in words
    assert "after 1 week" not in words and "after 8 weeks" not in words
    started, _ = said(tmp_path / "new", study.replace("from: 1", "from: 0"),
                      rows.replace(",1,", ",0,"))  # fmt: skip
    assert "reading after 8 weeks less" in started
