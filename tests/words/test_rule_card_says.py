"""A rule with one reason, on readings made by hand: what its card says of each side."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from explainer.claims.judge import judge
from explainer.study.load import load_study, open_workspace
from explainer.words.phrases.book import defects_of
from explainer.words.sheets.rule_card import RuleWords, say_rule


def card(
    folder: Path, change: float, gauge: float | None = None, reading: str | None = None,
    plainly: str = "Balls go smooth.", to: int = 40, therefore: str | None = None,
) -> RuleWords:
    """Eight balls read 60 to 67 when new and change by ``change`` or next to it; four balls are
    read twice at each of two desks, the right one ``gauge`` above the left."""
    folder.mkdir(parents=True)
    rows = [f"B{i},{games},{60 + i + (change + (i % 3 - 1) / 2) * games / 40}"
            for i in range(8) for games in (0, to)]  # fmt: skip
    (folder / "t.csv").write_text("ball,games,rough\n" + "\n".join(rows) + "\n", "utf-8")
    claims = [{"id": "falls", "report_says": "It falls.", "plainly": plainly,
               "test": {"kind": "change", "measure": "rough", "from": 0, "to": to,
                        "direction": "down", "table": "t"}}]  # fmt: skip
    tables = {"t": {"file": "t.csv"}}
    if gauge is not None:
        twice = [
            f"B{i},{who},{trial},{60 + i + gauge * at + (1 if (i + trial + at) % 2 else -1)}"
            for i in range(4) for at, who in enumerate(("left", "right")) for trial in (1, 2)
        ]  # fmt: skip
        (folder / "g.csv").write_text("ball,desk,trial,rough\n" + "\n".join(twice), "utf-8")
        tables["g"] = {"file": "g.csv"}
        claims.append({
            "id": "good", "report_says": "The gauge is fine.", "plainly": "The gauge is fine.",
            "test": {"kind": "repeatability", "measure": "rough", "operator": "desk",
                     "repeat": "trial", "table": "g"}})  # fmt: skip
    rule = {"change": "No ball under 50.", "limit": {"measure": "rough", "at_least": 50},
            "reasons": [{"claim": "falls", **({"therefore": therefore} if therefore else {})}],
            **({"reading": reading} if reading else {})}  # fmt: skip
    (folder / "study.yaml").write_text(json.dumps({
        "title": "A rule", "question": "Is it so?", "invented": True,
        "tested": {"each": "ball", "described": "Eight balls from one shelf"},
        "use": {"column": "games", "term": "games rolled", "unit": "game"},
        "measures": {"rough": {"term": "roughness", "unit": "microinch", "resolution": 1}},
        "tables": tables, "claims": claims, "rule": rule,
    }), "utf-8")  # fmt: skip
    judgement = judge(load_study(folder, open_workspace(folder.parents[1])))
    made = say_rule(judgement)
    assert made is not None and not defects_of(judgement)
    return made


@pytest.mark.parametrize(("change", "code"), [(-10, "backed"), (10, "against"), (0, "cannot-tell")])
def test_the_one_reason_speaks_for_its_own_side(tmp_path: Path, change: int, code: str) -> None:
    made = card(tmp_path / "studies" / "s", change)
    assert made.weakest.startswith("One reason is given") and made.weakest_code == code
    assert made.links[0].code == code
    for_it, against = made.speaks_for.says, made.speaks_against.says
    # What is open speaks for neither side.
    assert ("Balls go smooth" in for_it) == (code == "backed")
    assert ("points the other way" in against and "No reason" in against) == (code != "against")
    assert ("missing most: Balls go smooth" in against) == (code == "cannot-tell")


def test_the_steps_of_the_display_are_all_that_is_known_of_the_gauge(tmp_path: Path) -> None:
    """A step of 1 is uncertain by 1/√12, 0.29; 1.645 times that is 0.475 to either side."""
    made = card(tmp_path / "studies" / "s", -10)
    note = " ".join(made.zone_note)
    assert "steps of its display" in note and "0.29" in note and "0.475" in note
    assert [mark for mark, _ in made.rows][::2] == ["51 microinches or more",
                                                    "49 microinches or less"]  # fmt: skip
    assert "did not compare people" in " ".join(made.operators)


@pytest.mark.parametrize(("gauge", "says"), [(0.0, "both desks read alike"), (3.0, "3 micro")])
def test_who_reads_higher_is_said_where_anybody_does(
    tmp_path: Path, gauge: float, says: str
) -> None:
    told = " ".join(card(tmp_path / "studies" / "s", -10, gauge).operators)
    assert says in told and ("right read highest" in told) == (gauge > 0), told


@pytest.mark.parametrize("reading", [None, "Take three on the track."])
def test_how_to_read_is_the_authors_or_is_asked_for(tmp_path: Path, reading: str | None) -> None:
    told = " ".join(card(tmp_path / "studies" / "s", -10, reading=reading).reading)
    assert ("not told here" in told) == (reading is None)
    assert (reading or "ask which gauge is used") in told


@pytest.mark.parametrize(
    ("given", "named"),
    [({}, False), ({"plainly": "Balls go smooth below 50."}, True),
     ({"plainly": "Balls go smooth, to fifty or less."}, True),
     ({"plainly": "Balls go smooth after 150 or 5.50 games."}, False),
     ({"therefore": "so none reads 50 for long"}, True), ({"to": 50}, True)],
)  # fmt: skip
def test_a_number_that_no_reason_names_is_left_to_the_rules_makers(
    tmp_path: Path, given: dict[str, Any], named: bool
) -> None:
    """Neither in what the reason says, nor in its step, nor in what was tested."""
    told = card(tmp_path / "studies" / "s", -10, **given).number
    assert ("None of the reasons names 50 microinches" in told) is not named
    assert told or named


def test_who_was_tested_and_what_is_read_stand_at_the_head(tmp_path: Path) -> None:
    facts = dict(card(tmp_path / "studies" / "s", -10).facts)
    assert facts["Tested"] == "Eight balls from one shelf"
    assert facts["The limit"].startswith("Roughness (how rough the cover is) of at least 50")
