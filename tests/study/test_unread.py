"""A measure that nobody read: told, and a draft with one stays a draft."""

from __future__ import annotations

import pytest

from explainer.study.load import DRAFTED, load_study, open_workspace

STUDY = """\
title: Club
question: Does it change?
tested: {each: bowler, count: 3}
use: {column: week, unit: week}
measures:
  score: {term: score, unit: count}
  strike: {term: strike, unit: count}
tables:
  t: {file: t.csv}
figures: []
claims: []
"""
ROWS = "bowler,week,score,strike\n" + "".join(
    f"B{n},{w},{150 + 7 * n + w},{{}}\n" for n in range(3) for w in (1, 2)
)


@pytest.mark.parametrize("drafted", [True, False])
@pytest.mark.parametrize("strike", ["", "1"])
def test_a_tick_ends_no_draft_while_a_measure_has_no_reading(tmp_path, drafted, strike):
    folder = tmp_path / "studies" / "club"
    folder.mkdir(parents=True)
    (folder / "study.yaml").write_text((f"{DRAFTED} More.\n" if drafted else "") + STUDY)
    (folder / "t.csv").write_text(ROWS.replace("{}", strike))
    study = load_study(folder, open_workspace(tmp_path))
    told = [p.found for p in study.warnings if "no reading" in p.found]
    assert told == ([] if strike else ["no reading of `strike` in any table"])
    assert study.unconfirmed == (1 if drafted and not strike else 0)


def test_the_line_by_which_a_draft_is_known_is_the_one_that_a_draft_begins_with():
    from explainer.draft.written import _preface

    assert next(iter(_preface())).startswith(DRAFTED)
