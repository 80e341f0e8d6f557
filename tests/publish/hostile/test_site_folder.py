"""A site's folder keeps its mode and group, is where it was asked for, and nowhere else."""

from __future__ import annotations

import os
import stat
import subprocess
from pathlib import Path

import pytest

from explainer.errors import OutputError
from explainer.publish import exchange, frontpage
from explainer.publish.site import publish
from explainer.study.load import open_workspace


@pytest.fixture(autouse=True)
def no_other_pages(monkeypatch):
    """The pages that belong to no study are another matter, and take most of the time."""
    page = b"<!doctype html><html lang=en><title>t</title><h1>all</h1>"
    monkeypatch.setattr(frontpage, "shared_pages", lambda *given: {"index.html": page})
    monkeypatch.setattr(frontpage, "guide_pages", lambda workspace: {})


@pytest.mark.parametrize("mode", [0o700, 0o2750, 0o1777, 0o555])
@pytest.mark.parametrize("at_once", [True, False], ids=["one step", "two steps"])
def test_the_mode_of_a_site_is_what_it_was(
    workspace, folders, quickly, target, monkeypatch, mode, at_once
):
    if not at_once:  # a file system without an exchange of names
        monkeypatch.setattr(exchange, "_exchanged", lambda a, b: False)
    publish(workspace, folders, target, build=quickly)
    target.chmod(mode)
    publish(workspace, {"first": folders["first"]}, target, build=quickly)  # the other leaves
    assert not (target / "second").exists()
    assert stat.S_IMODE(target.stat().st_mode) == mode


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() != 0, reason="only root gives away")
def test_owner_and_group_of_a_site_are_what_they_were(workspace, folders, quickly, target):
    publish(workspace, folders, target, build=quickly)
    os.chown(target, 1234, 4321)
    target.chmod(0o2750)
    publish(workspace, {"first": folders["first"]}, target, build=quickly)
    facts = target.stat()
    assert (facts.st_uid, facts.st_gid, stat.S_IMODE(facts.st_mode)) == (1234, 4321, 0o2750)
    assert (target / "first").stat().st_gid == 4321  # handed on, as the bit says


def test_a_group_that_cannot_be_given_is_said_and_the_site_stands(
    workspace, folders, quickly, target, monkeypatch
):
    publish(workspace, folders, target, build=quickly)
    real = os.stat_result
    was = (target / "index.html").stat().st_ino
    foreign = list(target.stat())
    foreign[5] = 4321

    class Elsewhere(type(target)):
        def stat(self, **more):
            return real(foreign)

    def refuses(path, uid, gid):
        raise PermissionError(1, "Operation not permitted")

    monkeypatch.setattr(os, "chown", refuses)
    made = target.with_name("made")
    refused = pytest.raises(OutputError, match=r"the group 4321 .* cannot be given")
    with refused, exchange._said(target):
        exchange._make_like(made, Elsewhere(target))
    assert not made.exists() and (target / "index.html").stat().st_ino == was


def test_a_private_site_is_private_from_the_first_file_on(
    workspace, folders, target, monkeypatch, quickly
):
    publish(workspace, folders, target, build=quickly)
    target.chmod(0o700)
    seen = list[int]()
    real = exchange._write

    def looked(path, content):
        seen.append(stat.S_IMODE((target.parent / ".site.explainer-new").stat().st_mode))
        real(path, content)

    monkeypatch.setattr(exchange, "_write", looked)
    publish(workspace, {"first": folders["first"]}, target, build=quickly)
    assert seen and set(seen) == {0o700}


def test_the_folder_one_stands_in_is_published_into(
    workspace, folders, quickly, target, monkeypatch
):
    target.mkdir()
    for _ in range(2):
        monkeypatch.chdir(target)  # anew: it is another folder after each
        publish(workspace, folders, Path(), build=quickly)
        assert (target / "first" / "index.html").is_file()
        assert sorted(p.name for p in target.parent.iterdir()) == ["home", "site"]


@pytest.mark.parametrize("place", ["/", "/proc"])
def test_a_mount_point_is_refused_with_what_to_do(workspace, folders, quickly, place):
    with pytest.raises(OutputError) as caught:
        publish(workspace, folders, Path(place), build=quickly)
    said = str(caught.value)
    assert "is a mount point" in said and f"--into {Path(place) / 'site'}" in said
    assert not Path(f"{place}/..explainer-lock").exists()


@pytest.mark.parametrize("command", [["publish", "-q"], ["publish", "one", "-q"]])
def test_a_site_that_a_workspace_links_elsewhere_is_not_written(
    stranger, capsys, command, tmp_path
):
    from explainer.cli import main

    stranger.write()
    elsewhere = tmp_path.parent / f"{tmp_path.name}-elsewhere"
    elsewhere.mkdir()
    (stranger.root / "site").symlink_to(elsewhere)
    with pytest.raises(SystemExit) as ended:
        main(["--workspace", str(stranger.root), *command])
    said = capsys.readouterr().err
    assert ended.value.code == 4 and said.count("\n") == 1
    assert f"is a link to {elsewhere}, outside the workspace; nothing was written" in said
    assert list(elsewhere.iterdir()) == []


@pytest.mark.parametrize("what", ["pipe", "socket", "device link"])
def test_a_site_that_is_no_folder_is_refused(workspace, folders, quickly, target, what):
    if what == "pipe":
        os.mkfifo(target)
    elif what == "socket":
        import socket

        with socket.socket(socket.AF_UNIX) as made:
            os.chdir(target.parent)
            made.bind("site")
    else:
        target.symlink_to("/dev/null")
    with pytest.raises(OutputError, match="is a file"):
        publish(workspace, folders, target, build=quickly)


def test_a_mounted_folder_stays_as_it_is(workspace, folders, quickly, target):
    """Where we may mount: a file system of its own at the very place."""
    target.mkdir()
    done = subprocess.run(["mount", "-t", "tmpfs", "none", str(target)], capture_output=True)
    if done.returncode:
        pytest.skip("may not mount here")
    try:
        with pytest.raises(OutputError, match="is a mount point"):
            publish(workspace, folders, target, build=quickly)
        assert list(target.iterdir()) == []
        publish(workspace, folders, target / "site", build=quickly)
        assert (target / "site" / "first" / "index.html").is_file()
    finally:
        subprocess.run(["umount", str(target)], check=False)


@pytest.mark.parametrize("name", ["first", "first/data", "glossary"])
def test_a_link_where_pages_go_is_named_before_anything_is_built(
    workspace, folders, quickly, target, tmp_path, name
):
    publish(workspace, folders, target, build=quickly)
    (target / name).parent.mkdir(exist_ok=True)
    elsewhere = tmp_path / "elsewhere"
    (target / name).rename(elsewhere) if (target / name).exists() else elsewhere.mkdir()
    (target / name).symlink_to(elsewhere)
    before = sorted(p.name for p in elsewhere.iterdir())

    def never(folder, workspace):
        raise AssertionError("built first")

    with pytest.raises(OutputError) as caught:
        publish(workspace, folders, target, build=never)
    assert str(caught.value) == (
        f"{target / name} is a link to {elsewhere}; pages are written into folders of the site's "
        "own; remove the link, then publish again; nothing was touched"
    )
    assert sorted(p.name for p in elsewhere.iterdir()) == before


def test_a_link_that_is_somebody_elses_stays(workspace, folders, quickly, target, tmp_path):
    publish(workspace, folders, target, build=quickly)
    (target / "notes").symlink_to(tmp_path)
    publish(workspace, folders, target, build=quickly)
    assert (target / "notes").readlink() == tmp_path


@pytest.mark.parametrize(
    ("into", "found"),
    [
        ("studies/demo", "a place in"), ("studies/demo/site", "a place in"),
        ("studies/new", "a place in"), ("glossary/site", "a place in"), (".", "a workspace"),
        ("other", "a study's folder"), ("link", "a place in"),
    ],
)  # fmt: skip
def test_a_site_among_what_it_is_made_from_is_refused(into, found, tmp_path):
    """The folder of a study was taken for a site's, and exchanged for one."""
    study = tmp_path / "studies" / "demo"
    study.mkdir(parents=True)
    (study / "study.yaml").write_text("title: T\n", "utf-8")
    (tmp_path / "other").mkdir()
    (tmp_path / "other" / "study.yaml").write_text("title: T\n", "utf-8")
    (tmp_path / "link").symlink_to(study)
    before = sorted(tmp_path.rglob("*"))
    with pytest.raises(OutputError, match=rf"found {found}.*, expected a folder of its own"):
        publish(open_workspace(tmp_path), {"demo": study}, tmp_path / into)
    assert sorted(tmp_path.rglob("*")) == before


@pytest.mark.parametrize("name", ["site\n", "con", "CON.old", "site.", "site ", " site", "si\te",
                                  "si\u200bte", "site:x", "nul"])  # fmt: skip
def test_a_site_that_not_every_system_could_keep_is_refused(
    workspace, folders, quickly, target, name
):
    before = sorted(target.parent.iterdir())
    with pytest.raises(OutputError) as caught:
        publish(workspace, folders, target.parent / name, build=quickly)
    assert str(caught.value) == (
        f"found {name!r} as the name of the site's folder, expected one that every system can "
        "keep, such as `site`; nothing was written"
    )
    assert sorted(target.parent.iterdir()) == before


@pytest.mark.parametrize("name", ["site", "2026-05 Ärmel", "my site", "console", ".site", "s..e"])
def test_other_names_of_a_site_are_taken(workspace, folders, quickly, target, name):
    publish(workspace, folders, target.parent / name, build=quickly)
    assert (target.parent / name / "index.html").is_file()


@pytest.mark.parametrize("kind", ["folder", "link"])
def test_a_lock_that_is_no_file_names_a_way_out(workspace, folders, quickly, target, kind):
    lock = target.parent / ".site.explainer-lock"
    lock.mkdir() if kind == "folder" else lock.symlink_to(target.parent / "elsewhere")
    with pytest.raises(OutputError) as caught:
        publish(workspace, folders, target, build=quickly)
    assert str(caught.value) == (
        f"{lock} is a {kind}, and explainer keeps a plain file there while it publishes; move it "
        "away, then publish again; nothing was touched"
    )
    assert not target.exists() and not (target.parent / "elsewhere").exists()
    lock.rename(lock.with_name("away"))
    publish(workspace, folders, target, build=quickly)
