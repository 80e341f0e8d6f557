"""A sound study as later stages get it: names, types, units, notes, places."""

from __future__ import annotations

import hashlib

import numpy as np
import pandas as pd
import pytest

from explainer.study.load import load_study, open_workspace


@pytest.fixture
def study(bench):
    return load_study(bench, open_workspace(bench.parent.parent))


def test_the_frame_is_indexed_by_spreadsheet_row(study, bench):
    frame = study.tables["checkpoints"].frame
    lines = (bench / "checkpoints.csv").read_text().splitlines()
    assert frame.index.tolist() == list(range(2, len(lines) + 1))
    assert lines[8 - 1].startswith(f"B1,Teasel,{frame.loc[8, 'games']:g},68")


def test_types(study):
    frame = study.tables["shots"].frame
    assert list(frame.columns) == ["ball", "model", "games", "shot", "hook", "drift", "gap"]
    assert all(frame[c].dtype == np.float64 for c in ("games", "shot", "hook", "drift", "gap"))
    for column in ("ball", "model"):
        assert isinstance(frame[column].dtype, pd.CategoricalDtype)
        assert pd.api.types.is_string_dtype(frame[column].cat.categories)
    assert (frame["ball"] == "A1").sum() == 8


def test_what_a_table_says_of_itself(study):
    table = study.tables["checkpoints"]
    assert (table.item, table.use, table.group, table.order) == ("ball", "games", "model", None)
    assert table.checkpoints == (0.0, 10.0, 30.0)
    assert table.items == ("A1", "A2", "B1", "B2")
    assert (table.use_term, table.use_unit) == ("games rolled", "game")
    assert table.measures == ("texture",)
    assert study.tables["shots"].order == "shot"
    assert study.tables["paths"].reading_error == 0.5


def test_a_column_nothing_names_is_not_read(study):
    assert "remark" not in study.tables["checkpoints"].frame


def test_missing_and_excluded_readings_are_named(study):
    table = study.tables["checkpoints"]
    notes = [(n.row, n.column, n.item, n.use, n.mark, n.why) for n in table.notes]
    assert notes == [
        (4, "texture", "A1", 30.0, "66", "the ball was dropped"),
        (6, "texture", "A2", 10.0, "n/a", ""),
        (10, "texture", "B1", 30.0, "", ""),
    ]
    assert table.frame["texture"].isna().sum() == len(notes)


def test_units_of_a_table_become_the_measure_s(study, bench):
    raw = pd.read_csv(bench / "shots.csv")
    drift = study.tables["shots"].frame["drift"].to_numpy()
    np.testing.assert_allclose(drift, raw["drift"] / (41.5 / 39), rtol=1e-15)


def test_a_table_may_test_something_else(study):
    table = study.tables["rates"]
    assert (table.item, table.use, table.group) == ("bowler", None, None)
    assert table.frame["cover"].unique().tolist() == ["1", "2"]


def test_derived_measures(study):
    shots = study.tables["shots"].frame
    np.testing.assert_array_equal(shots["gap"], shots["hook"] - shots["drift"])
    paths = study.tables["paths"]
    assert paths.measures == ("path_hook",)
    # One value per path, in the row of its last point.
    ends = paths.frame[paths.frame["path_hook"].notna()]
    assert ends["feet"].unique().tolist() == [60.0]
    assert len(ends) == len(paths.frame.groupby(["ball", "games"]))
    # Launched on boards 20 and 17 at 0 and 15 feet, A1's line would reach board 8; it ends on 17.
    assert ends.iloc[0]["path_hook"] == pytest.approx(9)
    assert not [n for n in paths.notes if n.column == "path_hook"]


def test_stated_values_are_kept_as_printed(study):
    assert study.description.stated[0].value == "71.40"


def test_places_and_digests(study, bench):
    assert study.places[("title",)] == (1, 8)
    for name in ("study.yaml", "checkpoints.csv", "rates.csv"):
        assert study.sha256[name] == hashlib.sha256((bench / name).read_bytes()).hexdigest()


def test_warnings_do_not_stop_a_study(study):
    assert [str(w) for w in study.warnings] == [
        "study.yaml:41:9: warning: found no figure that shows the claim `first-shots`, expected "
        "one drawn from what it speaks of; readers cannot see it",
        "checkpoints.csv: row 1: warning: found the column `remark`, which nothing reads, expected "
        "in a download, what the study reads, and plain numbers (to take one along: `columns: "
        "{remark: remark}` under `checkpoints` in study.yaml); data/checkpoints.csv is published "
        "without it",
    ]


def test_beyond_the_data_is_no_error(study):
    assert study.description.claims[1].tests[1].to == 300


WARNINGS = {
    "claims": ("claims:", "no claims"),
    "say": ("say: Look where it bends.", "no `say` for the figure `texture-over-play`"),
    "source": ('source: "Table 1, page 2", ', "no `source` for the table `checkpoints`"),
    "matters_from": ("matters_from: 6, ", "no `matters_from` for `texture`"),
}


@pytest.mark.parametrize("what", ["say", "source", "matters_from"])
def test_what_is_left_out_is_said(bench, what):
    text, found = WARNINGS[what]
    path = bench / "study.yaml"
    written = path.read_text()
    assert written.count(text) == 1
    path.write_text(written.replace(", " + text if what == "say" else text, ""))
    study = load_study(bench, open_workspace(bench.parent.parent))
    (warning,) = [w for w in study.warnings if found in w.found]
    assert warning.severity == "warning"
    assert str(warning).startswith("study.yaml:")


def test_neither_claims_nor_figures_is_allowed_and_said(bench):
    path = bench / "study.yaml"
    text = path.read_text()
    top, rest = text.split("figures:\n")[0], text.split("stated:\n")[1]
    rest = rest.split("rule:")[0]
    path.write_text(top + "figures:\nclaims: []\nstated:\n" + rest)
    study = load_study(bench, open_workspace(bench.parent.parent))
    found = [w.found for w in study.warnings]
    assert "no claims" in found
    assert "no figures" in found
