"""A site's own record may come from a stranger: it is read within bounds and leads nowhere else."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from explainer.errors import OutputError, Problem, StudyError
from explainer.publish.exchange import staged
from explainer.publish.manifest import (
    NAME,
    Manifest,
    can_be_ours,
    digest,
    read_manifest,
    stays_inside,
)
from explainer.publish.site import publish


@pytest.fixture
def site(workspace, folders, quickly, target) -> Path:
    publish(workspace, folders, target, build=quickly)
    return target


def everything(root: Path) -> dict[str, bytes]:
    return {str(p.relative_to(root)): p.read_bytes() for p in root.rglob("*") if p.is_file()}


def spoilt(site: Path, change) -> None:
    said = json.loads((site / NAME).read_text())
    change(said)
    (site / NAME).write_text(json.dumps(said))


def named(name: str):
    def change(said) -> None:
        said["studies"][name] = {**said["studies"]["first"], "id": name}

    return change


@pytest.mark.parametrize(
    "name",
    ["../elsewhere", "..", ".", "", "a/b", "/etc/a", "a\\b", "a\0", "Up", "a b", "-a", "how",
     "a" * 61, "ä", "a\n"],
)  # fmt: skip
def test_a_name_that_no_study_has_is_refused_and_nothing_is_written(
    workspace, folders, quickly, site, name
):
    spoilt(site, named(name))
    before = everything(site.parent)
    with pytest.raises(OutputError, match="not a list of explainer's files; nothing was touched"):
        publish(workspace, folders, site, only=["first"], build=quickly)
    assert everything(site.parent) == before


def test_a_name_that_is_not_the_study_s_own_is_refused(site):
    spoilt(site, lambda said: said["studies"]["first"].update(id="../elsewhere"))
    with pytest.raises(OutputError, match="not a list"):
        read_manifest(site)


@pytest.mark.parametrize("listed", [True, False])
def test_a_record_that_names_studies_the_site_has_not_is_what_is_blamed(
    workspace, folders, site, quickly, listed
):
    """It was the front page, which does nothing but list them."""

    def change(said) -> None:
        for n in range(1_500):
            said["studies"][f"s{n}"] = {**said["studies"]["first"], "id": f"s{n}"}
            if listed:
                said["files"][f"s{n}/index.html"] = "0" * 64

    spoilt(site, change)
    before = everything(site.parent)
    with pytest.raises(OutputError) as caught:
        publish(workspace, folders, site, only=["first"], build=quickly)
    assert str(caught.value) == (
        f"{site / NAME} lists `s0`, `s1`, `s10`, …, of which the site has no page; nothing was "
        "touched (to make the list anew, publish every study: explainer publish)"
    )
    assert everything(site.parent) == before
    publish(workspace, folders, site, build=quickly)
    assert read_manifest(site).studies.keys() == {"first", "second"}


def test_a_study_that_fails_and_has_no_page_any_more_leaves_the_list(
    workspace, folders, site, quickly
):
    (site / "second" / "index.html").unlink()

    def fails(folder, space):
        if folder.name == "second":
            raise StudyError([Problem("study.yaml", 1, 1, found="a", expected="b")])
        return quickly(folder, space)

    outcome = publish(workspace, folders, site, build=fails)
    assert outcome.kept == [] and set(outcome.failed) == {"second"}
    assert read_manifest(site).studies.keys() == {"first"}


def test_a_topic_that_leads_out_of_the_site_is_not_written(workspace, folders, quickly, site):
    """Topics stand in the record, too, and a page is named for each that two studies share."""

    def change(said) -> None:
        for name in ("second", "third"):
            said["studies"][name] = {**said["studies"]["first"], "id": name}
            said["studies"][name]["ties"] = {"topic": "../../../elsewhere"}
            shutil.copytree(site / "first", site / name, dirs_exist_ok=True)

    spoilt(site, change)
    before = everything(site.parent)
    with pytest.raises(OutputError, match=r"would lie outside .*; it was not written"):
        publish(workspace, {"first": folders["first"]}, site, only=["first"], build=quickly)
    assert everything(site.parent) == before


@pytest.mark.parametrize(
    "path", ["../a", "a/../../b", "/a", "a//b", "a/./b", "", "a/", "a\0b", "..", "a/.."]
)
def test_writing_refuses_to_leave_the_site(target, path):
    assert not stays_inside(path)
    with pytest.raises(OutputError, match="would lie outside"), staged(target, Manifest()) as new:
        new.write(path, b"x")
    assert list(target.parent.iterdir()) == []


@pytest.mark.parametrize("path", ["a", "a/b.html", "..a/b", "a..b", ".a"])
def test_a_path_below_the_site_stays_inside(path):
    assert stays_inside(path)


@pytest.mark.parametrize(
    "text",
    ["[" * 200_000, '{"files": {}, "studies": ' + '{"a":' * 100_000 + "1" + "}" * 100_001,
     '{"files": {}, "studies": {"a": 1' + "0" * 10_000 + "}}", "\ud800",
     '{"files": [], "studies": {}}', '{"files": {}, "studies": []}', "null", ""],
    ids=["lists", "objects", "digits", "not UTF-8", "a list", "another list", "null", "empty"],
)  # fmt: skip
def test_a_record_that_makes_no_sense_is_refused(workspace, folders, quickly, site, text):
    (site / NAME).write_bytes(text.encode("utf-8", "surrogatepass"))
    before = everything(site.parent)
    with pytest.raises(OutputError, match="not a list of explainer's files"):
        publish(workspace, folders, site, build=quickly)
    assert everything(site.parent) == before


@pytest.mark.parametrize(
    ("key", "value"),
    [("title", ["a"]), ("answer", None), ("invented", "no"), ("title", "\ud800"), ("ties", [1]),
     ("ties", {"topic": ["a"]}), ("ties", {"claims": [
         {"id": "a", "plainly": "b", "says": "c", "label": "d", "code": []}]}),
     ("ties", {"claims": [
         {"id": "a", "plainly": "b", "says": "c", "label": "d", "code": "true"}]})],
)  # fmt: skip
def test_a_value_of_another_kind_is_refused(site, key, value):
    spoilt(site, lambda said: said["studies"]["first"].update({key: value}))
    with pytest.raises(OutputError, match="not a list"):
        read_manifest(site)


@pytest.mark.parametrize("what", ["pipe", "device", "link out", "folder", "large"])
def test_a_record_that_is_no_plain_file_of_bounded_size_is_not_read(site, tmp_path, what):
    """In a process of its own: what hangs must not hang the tests."""
    record = site / NAME
    text = record.read_bytes()
    record.unlink()
    if what == "pipe":
        os.mkfifo(record)
    elif what == "device":
        record.symlink_to("/dev/zero")
    elif what == "link out":
        (tmp_path / "outside.json").write_bytes(text)
        record.symlink_to(tmp_path / "outside.json")
    elif what == "folder":
        record.mkdir()
    else:
        with record.open("wb") as file:
            file.truncate(60_000_000_000)  # takes no room on the disk
    code = (
        "import resource, sys; from pathlib import Path\n"
        "resource.setrlimit(resource.RLIMIT_AS, (2_000_000_000, 2_000_000_000))\n"
        "from explainer.errors import OutputError, Problem, StudyError\n"
        "from explainer.publish.manifest import read_manifest\n"
        "try:\n    read_manifest(Path(sys.argv[1]))\n"
        "except OutputError as fault:\n    print(fault)\n"
    )
    command = [sys.executable, "-c", code, str(site)]
    done = subprocess.run(command, capture_output=True, text=True, timeout=300, check=True)
    assert done.stdout.startswith(f"cannot read {record}: ")
    assert done.stdout.count("\n") == 1 and "nothing was touched" in done.stdout


def test_a_page_that_became_a_pipe_is_not_waited_for(site):
    from explainer.publish.build_cache import intact

    page = site / "first" / "index.html"
    said = {"first": {"first/index.html": read_manifest(site).files["first/index.html"]}}
    assert intact(site, said) == {"first"}
    page.unlink()
    os.mkfifo(page)
    code = (
        "import sys; from pathlib import Path; from explainer.publish.build_cache import intact\n"
        "print(sorted(intact(Path(sys.argv[1]), {'first': {'first/index.html': '0'}})))"
    )
    command = [sys.executable, "-c", code, str(site)]
    done = subprocess.run(command, capture_output=True, text=True, timeout=300, check=True)
    assert done.stdout == "[]\n"


FOREIGN = [
    "thesis.pdf", "notes.txt", "glossary/mine.html", "photos/a.jpg", "first/photo.jpg", ".htaccess",
    "first/data/thesis.docx", "first/script/song.mp3", "first/cards/me.jpg", "other/index.html",
    "first/script/stills/deep/er/01-a.png", "first/.git/config", "FIRST/index.html", "first/alone",
    "first/results.json.bak", "how/mine/index.html/x", "topic/index.html", "first/explainer.pdf/x",
]  # fmt: skip


@pytest.mark.parametrize("path", FOREIGN)
def test_what_a_forged_record_claims_is_not_removed(workspace, folders, quickly, site, path):
    """Though the hash that it gives is the file's own: explainer gives no file such a name."""
    mine = site / path
    mine.parent.mkdir(parents=True, exist_ok=True)
    mine.write_bytes(b"three years of work")
    spoilt(site, lambda said: said["files"].update({path: digest(b"three years of work")}))
    assert not can_be_ours(path, {"first", "second"})
    for _ in range(2):
        aside = publish(workspace, folders, site, build=quickly).set_aside
        assert mine.read_bytes() == b"three years of work"
        assert aside == []


def test_what_was_published_is_still_removed_when_its_study_goes(workspace, folders, quickly, site):
    assert (site / "second" / "data" / "a.csv").exists()
    outcome = publish(workspace, {"first": folders["first"]}, site, build=quickly)
    assert outcome.gone == ["second"] and not (site / "second").exists()
    assert (site / "first" / "index.html").exists()


def test_every_name_that_is_published_is_one_of_ours():
    """Of all examples; of the kit in ``tests/editions/test_kit.py``."""
    manifest = read_manifest(Path(__file__).parents[2] / "site")
    assert len(manifest.files) > 500
    assert [path for path in manifest.files if not can_be_ours(path, manifest.studies)] == []
