"""A file that somebody writes while it is read: one line, and the last good pages stand."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from explainer.errors import StudyError
from explainer.publish import build_cache, workers
from explainer.publish.site import publish
from explainer.study import files, load
from explainer.study.files import FileFault, read_file
from explainer.study.load import open_workspace

STUDY = """\
title: Does it keep?
question: Does it lose texture?
invented: yes
tested: {each: ball, count: 4}
use: {column: games, term: games rolled, unit: game}
measures: {texture: {term: cover roughness, unit: microinch, matters_from: 6}}
tables: {readings: {file: readings.csv, source: "Table 1"}}
claims:
  - id: falls
    report_says: Texture fell.
    plainly: Balls go smooth.
    test: {kind: change, measure: texture, from: 0, to: 60, direction: down}
"""
ROWS = "ball,games,texture\n" + "".join(
    f"B{n},{games},{70 + n - games / 3 + n * games / 90:.0f}\n"
    for n in range(4)
    for games in (0, 60)
)


@pytest.fixture
def folder(tmp_path) -> Path:
    made = tmp_path / "home" / "studies" / "one"
    made.mkdir(parents=True)
    (made / "study.yaml").write_text(STUDY)
    (made / "readings.csv").write_text(ROWS)
    return made


@pytest.mark.parametrize("how", ["in place", "longer"])
def test_a_file_written_to_while_it_is_read_is_not_used(folder, monkeypatch, how):
    real, path = os.fdopen, folder / "readings.csv"
    os.utime(path, (1, 1))  # a disk's clock ticks in steps; this is surely another tick

    def slow(handle, *given):
        stream = real(handle, *given)
        with path.open("r+b") as other:
            other.seek(0, os.SEEK_SET if how == "in place" else os.SEEK_END)
            other.write(b"ball")
        return stream

    monkeypatch.setattr(files.os, "fdopen", slow)
    with pytest.raises(FileFault) as caught:
        read_file(folder, "readings.csv", 10_000)
    assert caught.value.found == "`readings.csv`, which changed while it was read"


@pytest.mark.parametrize("which", ["study.yaml", "readings.csv"])
@pytest.mark.parametrize("what", ["saved anew", "gone"])
def test_a_file_saved_while_another_is_read_fails_the_study_and_nothing_else(
    folder, target, monkeypatch, which, what
):
    workspace = open_workspace(folder.parents[1])
    publish(workspace, {"one": folder}, target)
    page = (target / "one" / "index.html").read_bytes()
    real = load.load_study

    def meddled(*given):
        study = real(*given)
        if what == "gone":
            (folder / which).unlink()
        else:
            beside = folder.parent / "beside"
            beside.write_text((folder / which).read_text() + "\n")
            beside.replace(folder / which)
        return study

    (folder / "readings.csv").write_text(ROWS.replace("70", "71"))
    with monkeypatch.context() as patch:
        patch.setattr(load, "load_study", meddled)
        outcome = publish(workspace, {"one": folder}, target)
    said = str(outcome.failed["one"])
    place = {"study.yaml": "study.yaml:1:1", "readings.csv": "readings.csv: row 1"}[which]
    assert said.startswith(f"{place}: found a file that changed while the study was read")
    assert "\n" not in said
    assert outcome.kept == ["one"]
    assert (target / "one" / "index.html").read_bytes() == page
    (folder / "study.yaml").write_text(STUDY)
    (folder / "readings.csv").write_text(ROWS)
    assert publish(workspace, {"one": folder}, target).published == ["one"]


def test_a_study_that_holds_still_is_read_as_it_is(folder):
    study = load.load_study(folder, open_workspace(folder.parents[1]))
    build_cache.held_still(folder, study.sha256)
    (folder / "readings.csv").write_text(ROWS + "\n")
    with pytest.raises(StudyError):
        build_cache.held_still(folder, study.sha256)
    assert workers.from_folder(folder, open_workspace(folder.parents[1])).read != study.sha256
