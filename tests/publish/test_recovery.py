"""Nothing that explainer cannot show to have written is ever deleted, whenever it appears."""

from __future__ import annotations

import errno
import os
import sys
from pathlib import Path

import pytest

from explainer.errors import OutputError
from explainer.publish import exchange, frontpage, recovery
from explainer.publish.manifest import NAME, Manifest, digest
from explainer.publish.recovery import UNFINISHED, beside
from explainer.publish.site import publish


def snapshot(root: Path) -> dict[str, bytes]:
    return {str(p.relative_to(root)): p.read_bytes() for p in root.rglob("*") if p.is_file()}


def litter(target: Path) -> list[str]:
    return sorted(p.name for p in target.parent.iterdir() if p.name not in ("site", "home"))


@pytest.fixture(autouse=True)
def no_other_pages(monkeypatch):
    """The pages that belong to no study are another matter, and take most of the time."""
    page = b"<!doctype html><html lang=en><title>t</title><h1>all</h1>"
    monkeypatch.setattr(frontpage, "shared_pages", lambda *given: {"index.html": page})
    monkeypatch.setattr(frontpage, "guide_pages", lambda workspace: {})


@pytest.fixture
def at_the_last_moment(monkeypatch):
    """Does something between the completion of the new site and the exchange."""

    def set_up(act) -> None:
        real = exchange._exchange

        def late(new: Path, target: Path) -> None:
            act(target)
            monkeypatch.setattr(exchange, "_exchange", real)
            real(new, target)

        monkeypatch.setattr(exchange, "_exchange", late)

    return set_up


def test_a_file_or_folder_put_there_at_the_last_moment_is_in_the_new_site(
    workspace, folders, quickly, target, at_the_last_moment
):
    publish(workspace, folders, target, build=quickly)

    def act(site: Path) -> None:
        (site / "late.txt").write_text("late")
        (site / "second" / "late").mkdir()
        (site / "second" / "late" / "deep.txt").write_text("deep")
        (site / "empty" / "inner").mkdir(parents=True)

    at_the_last_moment(act)
    outcome = publish(workspace, {"first": folders["first"]}, target, build=quickly)
    assert (target / "late.txt").read_text() == "late"
    assert (target / "second" / "late" / "deep.txt").read_text() == "deep"
    assert (target / "empty" / "inner").is_dir()
    assert not (target / "second" / "index.html").exists()
    assert litter(target) == [] and outcome.set_aside == []


def test_an_empty_folder_of_somebody_else_survives(workspace, folders, quickly, target):
    publish(workspace, folders, target, build=quickly)
    (target / "drop-box" / "inbox").mkdir(parents=True)
    (target / "second" / "uploads").mkdir()
    publish(workspace, {"first": folders["first"]}, target, build=quickly)
    assert (target / "drop-box" / "inbox").is_dir() and (target / "second" / "uploads").is_dir()
    assert not (target / "second" / "data").exists()


@pytest.mark.parametrize("path", ["CNAME", "first/index.html"])
def test_a_file_replaced_at_the_last_moment_is_kept_beside_the_site(
    workspace, folders, quickly, target, at_the_last_moment, path
):
    """Both are wanted at one place: the new site has the one taken over or built, no reader
    misses a page, and the other is kept and named."""
    publish(workspace, folders, target, build=quickly)
    (target / "CNAME").write_text("first.example.org")
    good = snapshot(target)

    def act(site: Path) -> None:
        (site / "beside").write_text("written anew")
        (site / "beside").replace(site / path)

    at_the_last_moment(act)
    outcome = publish(workspace, folders, target, build=quickly)
    assert snapshot(target) == good
    assert outcome.set_aside == [target.with_name("site-kept")]
    assert snapshot(target.with_name("site-kept")) == {path: b"written anew"}
    publish(workspace, folders, target, build=quickly)
    assert litter(target) == ["site-kept"]


def test_a_page_of_ours_edited_by_hand_is_built_anew_and_the_edit_kept(
    workspace, folders, quickly, target
):
    publish(workspace, folders, target, build=quickly)
    for n in (1, 2):
        (target / "first" / "index.html").write_text(f"by hand {n}")
        outcome = publish(workspace, folders, target, build=quickly)
        kept = target.with_name("site-kept" if n == 1 else "site-kept-2")
        assert outcome.set_aside == [kept]
        assert snapshot(kept) == {"first/index.html": f"by hand {n}".encode()}


@pytest.mark.parametrize("what", ["new", "old"])
@pytest.mark.parametrize("listed", [None, "", '{"format"', '{"files": {}, "studies": {}}'])
def test_a_tree_whose_list_cannot_be_read_is_kept_whole(
    workspace, folders, quickly, target, what, listed
):
    publish(workspace, folders, target, build=quickly)
    tree = beside(target, what)
    (tree / "empty").mkdir(parents=True)
    (tree / "thesis.txt").write_text("years of work")
    if listed is not None:
        (tree / NAME).write_text(listed)
    before = snapshot(tree)
    outcome = publish(workspace, folders, target, build=quickly)
    assert outcome.set_aside == [target.with_name("site-kept")]
    assert snapshot(target.with_name("site-kept")) == before
    assert (target.with_name("site-kept") / "empty").is_dir()
    assert litter(target) == ["site-kept"]


def test_a_link_where_our_tree_would_be_is_not_followed(
    workspace, folders, quickly, target, tmp_path
):
    elsewhere = tmp_path / "home" / "elsewhere"
    (elsewhere / "empty").mkdir(parents=True)
    for name in (UNFINISHED, "thesis.txt"):
        (elsewhere / name).write_text("years of work")
    beside(target, "new").symlink_to(elsewhere)
    publish(workspace, folders, target, build=quickly)
    assert set(snapshot(elsewhere)) == {UNFINISHED, "thesis.txt"}
    assert (elsewhere / "empty").is_dir()
    assert target.with_name("site-kept").is_symlink()


def test_a_pipe_in_place_of_a_page_stops_nothing(workspace, folders, quickly, target):
    publish(workspace, folders, target, build=quickly)
    (target / "second" / "index.html").unlink()
    os.mkfifo(target / "second" / "index.html")
    publish(workspace, {"first": folders["first"]}, target, build=quickly)
    assert (target / "second" / "index.html").is_fifo()


def test_a_site_behind_a_link_is_exchanged_where_it_is(workspace, folders, quickly, target):
    real = target.with_name("home") / "served"
    target.symlink_to(real)
    publish(workspace, folders, target, build=quickly)
    publish(workspace, {"first": folders["first"]}, target, build=quickly)
    assert target.is_symlink() and (real / "first" / "index.html").is_file()
    assert not (real / "second").exists()
    assert litter(target) == []


def test_where_files_have_no_second_names_another_s_file_is_not_taken_for_lost(
    workspace, folders, quickly, target, monkeypatch
):
    publish(workspace, folders, target, build=quickly)
    (target / "CNAME").write_text("example.org")

    def link(*given, **named):
        raise OSError(errno.EPERM, os.strerror(errno.EPERM))

    monkeypatch.setattr(os, "link", link)
    outcome = publish(workspace, {"first": folders["first"]}, target, build=quickly)
    assert (target / "CNAME").read_text() == "example.org"
    assert outcome.set_aside == [] and litter(target) == []


def test_a_clearing_that_is_killed_halfway_leaves_a_tree_that_still_tells_what_it_is(
    workspace, folders, quickly, target, monkeypatch
):
    class Killed(BaseException):
        pass

    publish(workspace, folders, target, build=quickly)
    kept: list[Path] = []
    for marked in (False, True):
        for survive in range(6):
            tree, files = beside(target, "new"), {"index.html": b"old", "a/b.html": b"old"}
            for path, content in files.items():
                (tree / path).parent.mkdir(parents=True, exist_ok=True)
                (tree / path).write_bytes(content)
            list_ = Manifest({path: digest(content) for path, content in files.items()})
            (tree / (UNFINISHED if marked else NAME)).write_bytes(list_.to_bytes())
            done: list[Path] = []
            with monkeypatch.context() as patch:
                for call in ("unlink", "rmdir"):
                    real = getattr(os, call)

                    def counted(path, *given, real=real, done=done, survive=survive, **named):
                        if len(done) == survive:
                            raise Killed
                        done.append(path)
                        return real(path, *given, **named)

                    patch.setattr(os, call, counted)
                try:
                    recovery.clear(tree, target, kept.append)
                except Killed:
                    assert tree.exists()
                else:
                    assert survive == 5  # two files, a folder, the mark and the tree itself
            with exchange.held(target, kept.append):
                pass
            assert kept == [] and litter(target) == []


@pytest.mark.parametrize("number", [errno.ENOSYS, errno.EINVAL, errno.EIO, errno.EROFS])
def test_only_a_system_that_cannot_exchange_is_asked_for_two_renames(
    workspace, folders, quickly, target, monkeypatch, number
):
    publish(workspace, folders, target, build=quickly)
    before = snapshot(target)

    class Library:
        def __init__(self, name: None, use_errno: bool = False) -> None: ...

        def renameat2(self, *given: object) -> int:
            return -1

        def syncfs(self, handle: int) -> int:
            return 0

    monkeypatch.setattr(exchange.ctypes, "CDLL", Library)
    monkeypatch.setattr(exchange.ctypes, "get_errno", lambda: number)
    one = {"first": folders["first"]}
    if number in (errno.ENOSYS, errno.EINVAL):
        publish(workspace, one, target, build=quickly)
        assert not (target / "second").exists()
    else:
        with pytest.raises(OutputError, match=os.strerror(number)):
            publish(workspace, one, target, build=quickly)
        assert snapshot(target) == before
    assert litter(target) == []


def test_a_second_rename_that_fails_takes_the_first_one_back(
    workspace, folders, quickly, target, monkeypatch
):
    publish(workspace, folders, target, build=quickly)
    before, real = snapshot(target), Path.rename

    def rename(self: Path, goal: Path) -> Path:
        if self.name.endswith("-new"):
            raise OSError(errno.EIO, os.strerror(errno.EIO))
        return real(self, goal)

    monkeypatch.setattr(exchange, "_exchanged", lambda a, b: False)
    with monkeypatch.context() as patch:
        patch.setattr(Path, "rename", rename)
        with pytest.raises(OutputError, match="still stands"):
            publish(workspace, {"first": folders["first"]}, target, build=quickly)
        assert snapshot(target) == before
    assert litter(target) == []


@pytest.mark.skipif(sys.platform != "linux", reason="an exchange in one step is Linux's")
def test_here_the_exchange_is_one_step(tmp_path):
    for name in ("a", "b"):
        (tmp_path / name).mkdir()
        (tmp_path / name / name).write_text(name)
    assert exchange._exchanged(tmp_path / "a", tmp_path / "b")
    assert (tmp_path / "a" / "b").exists() and (tmp_path / "b" / "a").exists()


def _half_cleared(tree: Path) -> None:
    """An old site whose clearing was killed between a folder's last file and the folder."""
    (tree / "gone" / "data").mkdir(parents=True)
    (tree / "theirs").mkdir()
    page = b"<!doctype html><html lang=en><title>t</title><h1>t</h1>"
    (tree / "index.html").write_bytes(page)
    written = {"index.html": digest(page), "gone/data/a.csv": digest(b"a\n")}
    (tree / NAME).write_bytes(Manifest(written, {}).to_bytes())


def test_a_folder_that_a_killed_clearing_emptied_does_not_come_back(target):
    """Another's empty folder does: only what lay in ours is known to have been ours."""
    target.mkdir()
    _half_cleared(beside(target, "old"))
    recovery.recover(target, lambda kept: pytest.fail(f"kept {kept}"))
    assert litter(target) == []
    assert sorted(p.name for p in target.rglob("*")) == ["theirs"]
