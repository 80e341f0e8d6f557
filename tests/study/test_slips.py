"""Slips that every cell hides: the line its author reads, and a neighbor that is right."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from explainer.errors import Problem
from explainer.study.load import load_study, open_workspace

HEAD = """\
title: A test study
question: Does it?
invented: yes
tested: {each: ball, group: model}
use: {column: games}
data_source: made up
measures: {y: {unit: mm}}
tables:
"""
USES = (0, 30, 60)
CODES = ("unit-mixed", "gap-filled", "spelled-twice", "named-twice", "table-copied", "finer-item")


def slips(folder: Path, **tables: pd.DataFrame) -> list[Problem]:
    """The warnings of these checks alone, for a study of those tables."""
    bench = folder / "studies" / "made-up"
    bench.mkdir(parents=True)
    text = HEAD
    for name, frame in tables.items():
        frame.to_csv(bench / f"{name}.csv", index=False)
        text += f"  {name}: {{file: {name}.csv}}\n"
    (bench / "study.yaml").write_text(text, encoding="utf-8")
    study = load_study(bench, open_workspace(folder))
    return [p for p in study.warnings if p.code in CODES]


def sound(n: int = 6, seed: int = 1) -> pd.DataFrame:
    rng = np.random.default_rng(seed)
    rows = [(f"T{i}", "MN"[i % 2], u, round(60 + rng.normal(0, 6) - u / 10, 1))
            for i in range(1, n + 1) for u in USES]  # fmt: skip
    return pd.DataFrame(rows, columns=["ball", "model", "games", "y"])


def test_a_sound_table_has_none(tmp_path: Path) -> None:
    assert slips(tmp_path, t=sound(), other=sound(seed=2)) == []


@pytest.mark.parametrize(
    ("factor", "said"),
    [(25.4, "inches and mm"), (10.0, "cm and mm"), (1000.0, "thousandths"), (1 / 25.4, "inches")],
)
def test_a_ball_read_in_another_unit(tmp_path: Path, factor: float, said: str) -> None:
    frame = sound()
    frame.loc[frame["ball"] == "T3", "y"] /= factor
    (found,) = slips(tmp_path, t=frame)
    assert (found.code, found.row, found.cell) == ("unit-mixed", 8, "y")
    assert said in found.hint and f"{max(factor, 1 / factor):.4g}" in found.hint


def test_a_checkpoint_and_a_table_in_another_unit(tmp_path: Path) -> None:
    frame = sound()
    frame.loc[frame["games"] == 60, "y"] /= 25.4
    assert [p.code for p in slips(tmp_path / "a", t=frame)] == ["unit-mixed"]
    small = sound(seed=2).assign(y=lambda t: t["y"] / 10)
    (found,) = slips(tmp_path / "b", t=sound(), other=small)
    assert (found.code, found.file) == ("unit-mixed", "other.csv")


def test_a_ball_that_is_only_rougher_is_no_other_unit(tmp_path: Path) -> None:
    frame = sound()
    frame.loc[frame["ball"] == "T3", "y"] *= 2.4
    wide = sound().assign(y=np.exp(2 * np.random.default_rng(3).normal(size=18)))
    assert slips(tmp_path / "a", t=frame) == []
    assert slips(tmp_path / "b", t=wide) == []


@pytest.mark.parametrize("mark", [0, 999, -99])
def test_a_gap_that_somebody_filled(tmp_path: Path, mark: float) -> None:
    frame = sound()
    frame.loc[[4, 7], "y"] = mark
    (found,) = slips(tmp_path, t=frame)
    assert (found.code, found.row) == ("gap-filled", 6)
    assert found.found.startswith(f"{mark}, 2 times") and f'missing: ["{mark}"]' in found.hint


def test_a_zero_among_small_readings_is_one(tmp_path: Path) -> None:
    frame = sound().assign(y=[i % 7 for i in range(18)])
    assert slips(tmp_path, t=frame) == []


@pytest.mark.parametrize("again", ["t2", "T-2", "T 2", "T02"])
def test_one_ball_under_two_spellings(tmp_path: Path, again: str) -> None:
    frame = sound()
    frame.loc[(frame["ball"] == "T2") & (frame["games"] == 60), "ball"] = again
    found = slips(tmp_path, t=frame)
    assert [(p.code, p.row, p.cell) for p in found] == [("spelled-twice", 7, "ball")]
    assert f"`{again}`, beside `T2`" in found[0].found


def test_names_that_only_look_alike(tmp_path: Path) -> None:
    frame = sound(3)
    frame["ball"] = frame["ball"].map({"T1": "1.2", "T2": "12", "T3": "120"})
    assert slips(tmp_path, t=frame) == []


def test_one_ball_under_two_names(tmp_path: Path) -> None:
    frame = pd.concat([sound(), sound(seed=9).assign(games=lambda t: t["games"] + 100)])
    frame = frame.sort_values(["ball", "games"], ignore_index=True)
    frame.loc[frame["ball"] == "T5", "y"] = frame.loc[frame["ball"] == "T2", "y"].to_numpy()
    (found,) = slips(tmp_path / "a", t=frame)
    assert (found.code, found.row) == ("named-twice", 26) and "`T2`" in found.found
    coarse = sound().assign(y=[74.0, 74.0, 73.5] * 6)
    assert slips(tmp_path / "b", t=coarse) == []


@pytest.mark.parametrize(("off", "said"), [(0.0, "the same as"), (3.0, "equally far from that")])
def test_two_balls_copied_under_many_names(tmp_path: Path, off: float, said: str) -> None:
    """The copies themselves are no sign that readings often agree."""
    two = pd.concat([sound(2), sound(2, 9).assign(games=lambda t: t["games"] + 100)])
    copies = [two.assign(ball=two["ball"] + f"-{k}", y=(two["y"] + k * off).round(1))
              for k in range(1, 7)]  # fmt: skip
    (found,) = slips(tmp_path, t=pd.concat([two, *copies]))
    assert (found.code, found.happens) == ("named-twice", "they count as 14")
    assert said in found.found and found.found.endswith("and 11 more like it")


def test_balls_that_all_stay_as_they_were_are_no_copies(tmp_path: Path) -> None:
    """A coarse gauge reads one number again and again; that two balls do so is no coincidence."""
    frame = sound(12).assign(y=np.repeat([72, 73, 74, 72, 73, 74, 71, 75, 72, 74, 73, 72], 3) * 1.0)
    assert slips(tmp_path, t=frame) == []


def test_a_table_pasted_under_another_name(tmp_path: Path) -> None:
    other = sound().assign(ball=lambda t: t["ball"].str.replace("T", "U"))
    (found,) = slips(tmp_path / "a", t=sound(), other=other)
    assert (found.code, found.file) == ("table-copied", "other.csv")
    assert found.found == "18 of 18 rows with the same readings as t.csv"
    part = sound().query("games == 0")
    assert slips(tmp_path / "b", t=sound(), part=part) == []


def test_a_zero_for_a_gap_and_a_ball_in_another_unit_do_not_hide_each_other(
    tmp_path: Path,
) -> None:
    frame = sound(8)
    frame.loc[frame["ball"] == "T3", "y"] *= 25.4
    frame.loc[(frame["ball"] == "T5") & (frame["games"] == 30), "y"] = 0
    assert {p.code for p in slips(tmp_path, t=frame)} == {"unit-mixed", "gap-filled"}


def test_the_row_named_of_a_pasted_table_is_the_file_s(tmp_path: Path) -> None:
    """A row without a reading before it is no reason to name another one."""
    other = sound().assign(ball=lambda t: t["ball"].str.replace("T", "U"))
    other.loc[0, "y"] = np.nan
    (found,) = slips(tmp_path, t=sound(), other=other)
    assert found.found == "17 of 17 rows with the same readings as t.csv"
    assert found.row == 3


def test_two_large_tables_are_held_against_each_other_in_one_pass(tmp_path: Path) -> None:
    """40,000 rows each: a set made anew for each row of the other took half an hour."""
    rng = np.random.default_rng(7)
    frame = pd.DataFrame({
        "ball": np.repeat([f"T{n}" for n in range(100)], 400), "model": "M",
        "games": np.tile(np.repeat([0, 30], 200), 100), "y": rng.normal(60, 6, 40_000).round(4),
    })  # fmt: skip
    assert slips(tmp_path / "a", t=frame, other=frame.assign(y=frame["y"] + 0.00005)) == []
    other = frame.assign(ball=frame["ball"].str.replace("T", "U"))
    (found,) = slips(tmp_path / "b", t=frame, other=other)
    assert found.found == "40,000 of 40,000 rows with the same readings as t.csv"


def test_shots_that_count_as_items(tmp_path: Path) -> None:
    """Eighty shots, each an item, of four balls that a column names; or of a ball each."""
    def study(folder: Path, balls: int) -> list[Problem]:
        rng = np.random.default_rng(4)
        frame = pd.DataFrame({
            "piece": [f"S{i}" for i in range(80)], "ball": [f"B{i % balls}" for i in range(80)],
            "y": rng.normal(50, 3, 80).round(2)})  # fmt: skip
        bench = folder / "studies" / "made-up"
        bench.mkdir(parents=True)
        frame.to_csv(bench / "t.csv", index=False)
        head = HEAD.replace("each: ball, group: model", "each: piece").replace(
            "use: {column: games}\n", "")  # fmt: skip
        (bench / "study.yaml").write_text(head + "  t: {file: t.csv}\n", encoding="utf-8")
        found = load_study(bench, open_workspace(folder)).warnings
        return [p for p in found if p.code in CODES]

    (found,) = study(tmp_path / "few", 4)
    assert (found.code, "80 of them, of 4 in the column `ball`" in found.found) == (
        "finer-item", True)  # fmt: skip
    assert study(tmp_path / "each", 80) == []


@pytest.mark.parametrize(("near", "known", "asked"), [
    ("value: 60", "", True), ("value: 60, within: 2", "", False), ("at_least: 60", "", False),
    ("value: 60", ", matters_from: 2", False)])  # fmt: skip
def test_an_average_about_a_number_says_how_near(
    tmp_path: Path, near: str, known: str, asked: bool
) -> None:
    bench = tmp_path / "studies" / "made-up"
    bench.mkdir(parents=True)
    sound().to_csv(bench / "t.csv", index=False)
    text = HEAD.replace("{unit: mm}", f"{{unit: mm{known}}}") + "  t: {file: t.csv}\n"
    text += "claims:\n  - {id: c, report_says: It averages 60., plainly: It averages 60.,\n"
    text += f"     test: {{kind: mean-is, measure: y, {near}}}}}\n"
    (bench / "study.yaml").write_text(text, encoding="utf-8")
    study = load_study(bench, open_workspace(tmp_path))
    said = [p for p in study.warnings if p.code == "no-margin"]
    assert bool(said) == asked
    if asked:
        assert "`within:` how far from it still counts" in str(said[0])
