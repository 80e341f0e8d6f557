"""Small tables that are sound and odd: every sentence of theirs can be said."""

from __future__ import annotations

from pathlib import Path

import pytest

from explainer.claims.judge import judge
from explainer.study.load import load_study, open_workspace
from explainer.words.say import say

HEAD = "title: T\nquestion: Does it?\ninvented: yes\n"
SPREAD = HEAD + """
tested: {each: ball}
use: {column: games, term: games rolled, unit: game}
measures: {y: {unit: board, matters_from: 1}}
tables: {t: {file: t.csv}}
claims:
- {id: c, report_says: Scatter went up., plainly: They got less alike., ask_first: yes,
   test: {kind: spread, measure: y, from: 0, to: 60}}
"""
RATES = HEAD + """
tested: {each: ball}
measures: {x: {unit: board}}
tables: {t: {file: t.csv}}
claims:
- {id: c, report_says: More with new ones., plainly: New ones strike as often., ask_first: yes,
   test: {kind: rate-difference, successes: strikes, attempts: shots, by: grp, a: new, b: used}}
"""
WALK = HEAD + """
tested: {each: bowler, names: shown}
measures: {x: {unit: board}}
tables: {t: {file: t.csv}}
figures:
- {id: f, kind: rates, table: t, successes: strikes, attempts: shots, by: oil, within: bowler,
   walk: yes}
"""
GIVEN = HEAD + """
tested: {each: ball}
measures: {x: {unit: microinch}, y: {unit: board}}
tables: {t: {file: t.csv}}
claims:
- {id: c, report_says: Rougher hooks more., plainly: Rougher hooks more.,
   test: {kind: association, x: x, y: y, given: [shelf]}}
"""
UNREAD = HEAD + """
tested: {each: ball}
measures: {y: {unit: board}}
tables: {t: {file: t.csv}, other: {file: other.csv}}
excluded: [{table: other, row: 2, why: The gauge fell on the floor.}]
claims:
- {id: c, report_says: They hook., plainly: They hook.,
   test: {kind: mean-is, measure: y, at_least: 1}}
"""
ODD = {
    "nobody read in both": (
        GIVEN, "ball,shelf,x,y\nB0,left,50,\nB1,left,49,\nB2,right,,9\nB3,right,,8\n"),
    "a row left out where nothing is read": (UNREAD, "ball,y\nB0,9\nB1,8\nB2,8.5\n"),
    "all move by the same": (
        SPREAD, "ball,games,y\n" + "".join(
            f"B{n},0,{y}\nB{n},60,{y - 2}\n" for n, y in enumerate((10, 11, 13, 14)))),
    "no success in hardly any attempts": (
        RATES, "ball,grp,x,strikes,shots\nB0,new,1,0,1\nB1,used,1,0,1\nB2,new,1,0,1\n"),
    "a walk along one condition": (
        WALK, "bowler,oil,x,strikes,shots\nAB,long,1,2,5\nCD,long,1,3,5\n"),
}  # fmt: skip


@pytest.mark.parametrize("what", ODD)
def test_an_odd_table_gets_its_sentences(what: str, tmp_path: Path) -> None:
    study, rows = ODD[what]
    folder = tmp_path / "studies" / "s"
    folder.mkdir(parents=True)
    (folder / "study.yaml").write_text(study, "utf-8")
    (folder / "t.csv").write_text(rows, "utf-8")
    (folder / "other.csv").write_text("ball,shelf\nB0,left\nB1,left\nB2,right\n", "utf-8")
    for audience in ("viewer", "league", "coach"):
        said = say(judge(load_study(folder, open_workspace(tmp_path))), audience)
        told = [*said.claims.values(), *said.figures.values()]
        assert told and "not known" not in repr(told)
