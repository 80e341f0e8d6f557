"""The range strip in text: its marks stand where the numbers are, in the width it is given."""

from __future__ import annotations

import re

import pytest

from explainer.claims.judge import judge
from explainer.claims.verdict import Strip
from explainer.study.load import list_studies, load_study, open_workspace
from explainer.study.shipped import home
from explainer.words.ledger import brief_strip, ledger, text_strip
from explainer.words.say import say
from explainer.words.speakers import in_voices, speaker_of


def strip(**changes: object) -> Strip:
    fields: dict[str, object] = {
        "value": -22.0, "low": -26.0, "high": -18.0, "claim_zone": (None, 0.0),
        "small_zone": (-6.0, 6.0), "null": 0.0, "unit": "microinch", "less_is": "smoother",
        "more_is": "rougher",
    }  # fmt: skip
    return Strip(**(fields | changes))  # type: ignore[arg-type]


def test_a_backed_claim_lies_over_its_zone():
    marks, zones, ends = text_strip(strip())
    low, value, high = marks.index("<"), marks.index("o"), marks.index(">")
    assert low < value < high < zones.index("|")
    assert set(zones[low : high + 1]) == {"="}
    assert ends.startswith("<- smoother")
    assert ends.endswith("rougher ->")
    assert "(microinch)" in ends


def test_positions_are_to_scale():
    # values 0 to 10, 8% of room at both ends, 50 columns: x = (value + .8) / 11.6 * 49
    zone = {"claim_zone": (0.0, 10.0), "small_zone": None, "null": None}
    marks, zones, _ = text_strip(strip(value=5.0, low=2.0, high=8.0, **zone), 50)
    assert [marks.index(m) for m in "<o>"] == [12, 24, 37]
    assert (zones.index("="), zones.rindex("=")) == (3, 46)


def test_open_zones_reach_the_end():
    _, zones, _ = text_strip(strip(claim_zone=(0.0, None), small_zone=None), 50)
    assert zones[-1] == "="
    assert len(zones) == 50


@pytest.mark.parametrize("width", [20, 50, 70])
@pytest.mark.parametrize("words", ["", "x" * 120, "much more of the one and less of the other"])
def test_it_never_runs_over(width, words):
    lines = text_strip(strip(less_is=words, more_is=words, unit=words or "r"), width)
    assert max(map(len, lines[:2])) <= width
    assert len(lines[2]) <= 75


def test_without_numbers_there_are_no_marks():
    marks, _, _ = text_strip(strip(value=None, low=None, high=None))
    assert marks == ""


def test_no_spread_at_all_is_still_drawn():
    marks, zones, _ = text_strip(
        strip(value=0.0, low=0.0, high=0.0, claim_zone=None, small_zone=None)
    )
    assert marks.strip() == "o"
    assert zones.index("|") == marks.index("o")


def test_the_table_draws_a_strip_in_one_line_to_the_same_scale():
    marks, zones, _ = text_strip(strip(), 22)
    brief = brief_strip(strip(), 22)
    assert [brief.index(m) for m in "<o>"] == [marks.index(m) for m in "<o>"]
    assert brief.index("|") == zones.index("|")
    assert len(brief) <= 22
    assert brief_strip(strip(value=None)) == ""


@pytest.mark.parametrize("study", sorted(p.name for p in list_studies(open_workspace(home()))))
def test_every_example_fits_eighty_columns(study):
    """Each claim has its line in the table and its place below; open questions say what settles."""
    judgement = judge(load_study(home() / "studies" / study, open_workspace(home())))
    said = say(judgement, "viewer")
    lines = ledger(judgement, said).splitlines()
    assert max(map(len, lines)) <= 80
    begins = lines.index(next(x for x in lines if x.lstrip().startswith("verdict"))) + 1
    table = lines[begins : lines.index("", begins)]
    rows = [line for line in table if re.match(r" ?\d+\. ", line)]  # else: who says those below
    told = in_voices(judgement.verdicts)
    headings = list(dict.fromkeys(speaker_of(v.claim.said_by).heading for v in told))
    assert [line.strip() for line in table if line not in rows] == headings[len(headings) < 2 :]
    for row, verdict in zip(rows, told, strict=True):
        assert said.claims[verdict.claim.id].label in row
        assert row.endswith(verdict.claim.id[:10]) or verdict.claim.id[:10] in row
        drawn = verdict.strip is not None and verdict.strip.value is not None
        assert ("o" in row[35:58]) == drawn
    settled = [line for line in lines if "Would settle it:" in line]
    assert len(settled) == sum(bool(settled_by) for *_, settled_by in said.questions)
