"""Only plain files inside the study folder are read."""

from __future__ import annotations

import json
import os
import shutil

import pytest

from explainer.draft.folder import new_folder
from explainer.errors import StudyError, UsageError
from explainer.study import files
from explainer.study.files import FileFault, read_file, sound_json
from explainer.study.load import load_study, open_workspace


def fault(folder, name, limit=1000):
    with pytest.raises(FileFault) as raised:
        read_file(folder, name, limit)
    return raised.value.found


@pytest.mark.parametrize(
    "name",
    [
        "../x.csv",
        "/etc/passwd",
        "sub/x.csv",
        "..",
        ".",
        "C:\\x.csv",
        "a\\b.csv",
        "./x.csv",
        "x\0.csv",
    ],
)
def test_a_path_is_no_file_name(tmp_path, name):
    (tmp_path / "x.csv").write_text("a\n1\n")
    assert fault(tmp_path, name).startswith("the path `")


def test_links(tmp_path):
    home, outside = tmp_path / "study", tmp_path / "outside.csv"
    home.mkdir()
    outside.write_text("secret")
    (home / "in.csv").write_text("a\n1\n")
    (home / "to-in.csv").symlink_to(home / "in.csv")
    (home / "out.csv").symlink_to(outside)
    (home / "loop.csv").symlink_to(home / "loop.csv")
    assert read_file(home, "to-in.csv", 1000) == b"a\n1\n"
    assert fault(home, "out.csv") == "`out.csv`, a link out of the study folder"
    assert "loop.csv" in fault(home, "loop.csv")


def test_folders_pipes_and_devices(tmp_path):
    (tmp_path / "folder.csv").mkdir()
    os.mkfifo(tmp_path / "pipe.csv")
    (tmp_path / "zero.csv").symlink_to("/dev/zero")
    assert fault(tmp_path, "folder.csv").endswith("which is not a plain file")
    assert fault(tmp_path, "pipe.csv").endswith("which is not a plain file")
    assert fault(tmp_path, "zero.csv").endswith("a link out of the study folder")


def test_size(tmp_path):
    (tmp_path / "x.csv").write_bytes(b"x" * 1001)
    assert fault(tmp_path, "x.csv") == "1,001 bytes in `x.csv`"
    assert len(read_file(tmp_path, "x.csv", 1001)) == 1001


def test_a_sparse_giant_is_refused_unread(bench):
    with (bench / "rates.csv").open("r+b") as stream:
        stream.truncate(10**12)
    with pytest.raises(StudyError) as raised:
        load_study(bench, open_workspace(bench.parent.parent))
    assert "found 1,000,000,000,000 bytes in `rates.csv`" in str(raised.value)


def test_study_yaml_is_held_to_the_same(bench, tmp_path):
    real = tmp_path / "elsewhere.yaml"
    (bench / "study.yaml").rename(real)
    (bench / "study.yaml").symlink_to(real)
    with pytest.raises(StudyError, match=r"study\.yaml:1:1: found `study\.yaml`, a link out"):
        load_study(bench, open_workspace(bench.parent.parent))
    (bench / "study.yaml").unlink()
    with pytest.raises(StudyError, match=r"study\.yaml:1:1: found no file `study\.yaml`"):
        load_study(bench, open_workspace(bench.parent.parent))


@pytest.mark.parametrize(
    "said", [b'[1, -2.5, "\xc3\xa9", null, true]', b'{"a": 9007199254740993}', b"1e308"]
)
def test_sound_json_is_read_as_it_is(said):
    assert sound_json(said) == json.loads(said)


@pytest.mark.parametrize(
    "said",
    [b"NaN", b"-Infinity", b"1e999", b"9" * 400, b'{"a": [1' + b"0" * 309 + b"]}", b"9" * 5_000,
     b'"\\ud800"', b'{"\\udfff": 1}', b"\xff", b"{"],
)  # fmt: skip
def test_json_that_nothing_can_go_on_with_is_refused(said):
    """A record of a site with such a number or letter ended as a fault of ours."""
    with pytest.raises(ValueError, match=r"."):
        sound_json(said)


def test_a_study_that_is_a_link_out_of_the_workspace_is_not_read(bench, tmp_path):
    """A stranger's workspace published a study of its reader's own, from elsewhere."""
    ours = tmp_path / "theirs"
    (ours / "studies").mkdir(parents=True)
    (ours / "studies" / "linked").symlink_to(bench, target_is_directory=True)
    with pytest.raises(StudyError, match=r"study\.yaml:1:1: found a study folder that is a link"):
        load_study(ours / "studies" / "linked", open_workspace(ours))
    (tmp_path / "by-link").symlink_to(bench.parents[1], target_is_directory=True)  # all of it
    whole = tmp_path / "by-link"
    assert load_study(whole / "studies" / bench.name, open_workspace(whole)).tables


def test_no_link_is_followed_that_came_while_a_study_was_read(bench, tmp_path, monkeypatch):
    """Between looking where a folder leads and opening a file in it somebody swapped the folder."""
    outside = shutil.copytree(bench, tmp_path / "outside")
    ours = tmp_path / "ours" / "studies" / "mine"
    shutil.copytree(bench, ours)

    def swap(*_):
        ours.rename(tmp_path / "kept")
        ours.symlink_to(outside, target_is_directory=True)

    def back():
        ours.unlink()
        (tmp_path / "kept").rename(ours)

    for moment in ("_same_case", "_opened"):  # before it is resolved, and after
        whole = getattr(files, moment)
        with monkeypatch.context() as patch:
            patch.setattr(files, moment, lambda *a, w=whole: (swap(), w(*a))[1])
            with pytest.raises(FileFault, match=r"link out of the workspace|cannot be opened"):
                read_file(ours, "study.yaml", 9_999_999)
        back()
    assert read_file(ours, "study.yaml", 9_999_999)


def test_nothing_is_drafted_through_a_link_out_of_the_workspace(tmp_path):
    outside, ours = tmp_path / "outside", tmp_path / "ours"
    outside.mkdir()
    ours.mkdir()
    (ours / "studies").symlink_to(outside, target_is_directory=True)
    with pytest.raises(UsageError, match="is a link out of the workspace"):
        new_folder("mine", ours)
    assert new_folder("mine", outside) == outside / "studies" / "mine"
