"""Publishing: whole or untouched, last good pages kept, nothing of anybody else's lost."""

from __future__ import annotations

import fcntl
import json
import os
from pathlib import Path

import pytest

from explainer.errors import (
    BrokenPageError,
    DescriptionError,
    OutputError,
    Problem,
    TargetBusyError,
)
from explainer.publish import exchange
from explainer.publish.manifest import NAME, Built
from explainer.publish.recovery import UNFINISHED
from explainer.publish.site import publish

FAULT = DescriptionError(Problem("study.yaml", 3, 1, found="this", expected="that"))


def snapshot(target: Path) -> dict[str, bytes]:
    return {
        p.relative_to(target).as_posix(): p.read_bytes() for p in target.rglob("*") if p.is_file()
    }


def litter(target: Path) -> list[str]:
    return sorted(p.name for p in target.parent.iterdir() if ".explainer-" in p.name)


def test_a_site_has_its_pages_its_list_and_nothing_beside_it(workspace, folders, quickly, target):
    outcome = publish(workspace, folders, target, build=quickly)
    assert outcome.published == ["first", "second"]
    files = snapshot(target)
    assert set(files) == {
        NAME, "index.html", "glossary/index.html", "how/verdicts/index.html",
        "how/study-yaml/index.html", "how/commands/index.html", "how/install/index.html",
        "study.schema.json",
        "first/index.html", "first/data/a.csv", "second/index.html", "second/data/a.csv",
    }  # fmt: skip
    assert b"Title of first" in files["index.html"]
    assert set(json.loads(files[NAME])["files"]) == set(files) - {NAME}
    assert litter(target) == []


def test_publishing_again_gives_the_same_bytes(workspace, folders, quickly, target):
    publish(workspace, folders, target, build=quickly)
    first = snapshot(target)
    publish(workspace, folders, target, build=quickly)
    assert snapshot(target) == first


def test_a_study_that_fails_keeps_its_last_good_pages_and_is_marked(
    workspace, folders, quickly, target
):
    publish(workspace, folders, target, build=quickly)
    good = snapshot(target)

    def failing(folder, workspace):
        if folder.name == "first":
            raise FAULT
        return quickly(folder, workspace)

    outcome = publish(workspace, folders, target, build=failing)
    assert outcome.failed == {"first": FAULT}
    assert outcome.kept == ["first"]
    now = snapshot(target)
    assert now["first/index.html"] == good["first/index.html"]
    assert b"last good pages" in now["index.html"]
    mended = publish(workspace, folders, target, build=quickly)
    assert mended.published == ["first", "second"]
    assert snapshot(target) == good


def test_a_study_that_never_worked_is_not_listed(workspace, folders, target, quickly):
    def failing(folder, workspace):
        if folder.name == "first":
            raise FAULT
        return quickly(folder, workspace)

    outcome = publish(workspace, folders, target, build=failing)
    assert outcome.kept == []
    assert not (target / "first").exists()
    assert b"Title of first" not in (target / "index.html").read_bytes()


def test_naming_a_study_leaves_the_others_as_they_are(workspace, folders, quickly, target):
    publish(workspace, folders, target, build=quickly)
    before = snapshot(target)
    outcome = publish(workspace, folders, target, only=["second"], build=quickly)
    assert outcome.published == ["second"]
    assert snapshot(target) == before


def test_a_study_that_left_the_workspace_leaves_the_site(workspace, folders, quickly, target):
    publish(workspace, folders, target, build=quickly)
    outcome = publish(workspace, {"first": folders["first"]}, target, build=quickly)
    assert outcome.gone == ["second"]
    assert not (target / "second").exists()


def test_files_of_somebody_else_survive(workspace, folders, quickly, target):
    publish(workspace, folders, target, build=quickly)
    (target / "CNAME").write_text("example.org")
    (target / "second" / "notes").mkdir()
    (target / "second" / "notes" / "mine.txt").write_text("mine")
    (target / "link").symlink_to("index.html")
    publish(workspace, {"first": folders["first"]}, target, build=quickly)
    assert (target / "CNAME").read_text() == "example.org"
    assert (target / "second" / "notes" / "mine.txt").read_text() == "mine"
    assert (target / "link").is_symlink()
    assert not (target / "second" / "index.html").exists()


def test_a_page_of_ours_that_somebody_changed_is_not_thrown_away(
    workspace, folders, quickly, target
):
    publish(workspace, folders, target, build=quickly)
    (target / "second" / "data" / "a.csv").write_text("corrected by hand")
    publish(workspace, {"first": folders["first"]}, target, build=quickly)
    assert (target / "second" / "data" / "a.csv").read_text() == "corrected by hand"


def test_a_file_in_the_way_of_a_new_page_stops_the_publish(workspace, folders, quickly, target):
    publish(workspace, {"first": folders["first"]}, target, build=quickly)
    (target / "second").mkdir()
    (target / "second" / "index.html").write_text("not yours")
    before = snapshot(target)
    with pytest.raises(OutputError, match="was not written by explainer and is in the way"):
        publish(workspace, folders, target, build=quickly)
    assert snapshot(target) == before
    assert litter(target) == []


def test_a_folder_that_is_not_a_site_is_refused(workspace, folders, quickly, target):
    target.mkdir()
    (target / "thesis.txt").write_text("years of work")
    with pytest.raises(OutputError, match="holds files that explainer did not write"):
        publish(workspace, folders, target, build=quickly)
    assert snapshot(target) == {"thesis.txt": b"years of work"}


def test_a_file_for_a_target_and_a_spoilt_list_are_refused(workspace, folders, quickly, target):
    target.write_text("a file")
    with pytest.raises(OutputError, match="is a file"):
        publish(workspace, folders, target, build=quickly)
    target.unlink()
    publish(workspace, folders, target, build=quickly)
    (target / NAME).write_text('{"files": {"../../etc/passwd": "0"}, "studies": {}}')
    with pytest.raises(OutputError, match="not a list of explainer's files"):
        publish(workspace, folders, target, build=quickly)


def test_a_broken_page_leaves_the_old_site(workspace, folders, quickly, target):
    publish(workspace, folders, target, build=quickly)
    before = snapshot(target)

    def broken(folder, workspace):
        built = quickly(folder, workspace)
        page = built.files["index.html"] + b"<a href='nowhere.html'>x</a>"
        return Built(built.listing, {**built.files, "index.html": page})

    with pytest.raises(BrokenPageError, match=r"first/index.html: links to nowhere.html"):
        publish(workspace, folders, target, build=broken)
    assert snapshot(target) == before
    assert litter(target) == []


def test_a_full_disk_leaves_the_old_site(workspace, folders, quickly, target, monkeypatch):
    publish(workspace, folders, target, build=quickly)
    before = snapshot(target)
    calls = []

    def full(handle):
        calls.append(handle)
        if len(calls) > 3:
            raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OutputError, match=r"No space left on device.*still stands"):
        publish(workspace, folders, target, build=quickly)
    assert snapshot(target) == before
    assert litter(target) == []


def test_a_target_in_use_is_left_alone(workspace, folders, quickly, target):
    lock = target.parent / ".site.explainer-lock"
    with lock.open("w") as other:
        fcntl.flock(other, fcntl.LOCK_EX)
        with pytest.raises(TargetBusyError, match="another publish is writing"):
            publish(workspace, folders, target, build=quickly)
    assert not target.exists()
    publish(workspace, folders, target, build=quickly)  # released: the lock file alone is no bar
    assert (target / "index.html").exists()


def test_without_an_exchange_two_renames_do(workspace, folders, quickly, target, monkeypatch):
    publish(workspace, folders, target, build=quickly)
    monkeypatch.setattr(exchange, "_exchanged", lambda a, b: False)
    publish(workspace, {"first": folders["first"]}, target, build=quickly)
    assert not (target / "second").exists()
    assert litter(target) == []


@pytest.mark.parametrize("state", ["half built", "list half written", "old left over", "between"])
def test_the_next_publish_recovers_what_a_killed_one_left(
    workspace, folders, quickly, target, state
):
    publish(workspace, folders, target, build=quickly)
    (target / "CNAME").write_text("example.org")
    new, aside = (target.parent / f".site.explainer-{n}" for n in ("new", "old"))
    if state == "half built":
        new.mkdir()
        (new / UNFINISHED).touch()
        (new / NAME).write_bytes((target / NAME).read_bytes())
        (new / "index.html").write_text("half")
    elif state == "list half written":
        new.mkdir()
        (new / UNFINISHED).touch()
        (new / NAME).write_text('{"format"')
    elif state == "old left over":
        new.mkdir()
        (new / NAME).write_bytes((target / NAME).read_bytes())
        (new / "late.txt").write_text("put there while the site was being written")
    else:
        target.rename(aside)
    publish(workspace, folders, target, build=quickly)
    assert (target / "CNAME").read_text() == "example.org"
    assert b"Title of first" in (target / "index.html").read_bytes()
    assert (target / "late.txt").exists() == (state == "old left over")
    assert litter(target) == []
