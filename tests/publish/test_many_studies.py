"""One study of many changed: what is done for each of the others does not grow unnoticed.

Nothing is timed: operations are counted, in a site of few studies and in one of more.
"""

from __future__ import annotations

import os
import shutil
import signal
import threading
from collections import Counter
from functools import partial
from pathlib import Path

import pytest

from explainer.errors import BrokenPageError
from explainer.publish import build_cache, check, frontpage, recovery, site, workers
from explainer.publish.manifest import Built, Listing, digest
from explainer.publish.site import publish
from explainer.study.load import open_workspace

PAGE = "<!doctype html><html lang=en><title>t</title><h1 id=top>t</h1><a href='../index.html'>.</a>"


def quick(folder: Path, workspace) -> Built:
    """Its page is the page above and what its study.yaml says, which is HTML here."""
    said = (folder / "study.yaml").read_bytes()
    return Built(
        Listing(folder.name, folder.name, "Does it?", "It does."),
        {"index.html": PAGE.encode() + said, "data/a.csv": b"ball,hook\n"},
        read={"study.yaml": digest(said)},
    )


@pytest.fixture
def say(tmp_path):
    """Writes what a study says; the number of the study is its name."""

    def write(number: int, text: str) -> None:
        folder = tmp_path / "home" / "studies" / f"s{number}"
        folder.mkdir(parents=True, exist_ok=True)
        (folder / "study.yaml").write_text(text)

    return write


@pytest.fixture
def again(tmp_path, target, monkeypatch):
    monkeypatch.setattr(site, "from_folder", quick)

    def run():
        workspace = open_workspace(tmp_path / "home")
        studies = sorted((tmp_path / "home" / "studies").iterdir())
        return publish(workspace, {folder.name: folder for folder in studies}, target)

    return run


@pytest.fixture
def counting(monkeypatch):
    """Calls a function and gives how often each of the given places was called meanwhile."""

    def run(act, *places) -> Counter[str]:
        done: Counter[str] = Counter()
        with monkeypatch.context() as patch:
            for module, name in places:
                real = getattr(module, name)

                def counted(*given, real=real, name=name, **named):
                    done[name] += 1
                    return real(*given, **named)

                patch.setattr(module, name, counted)
            act()
        return done

    return run


def test_an_unchanged_study_costs_a_hash_and_a_link_of_each_file_and_two_looks_at_each_folder(
    say, again, counting, monkeypatch
):
    """The first look takes it over into the new site, the second clears the old one."""
    here = site.meanwhile  # another process would count for itself
    monkeypatch.setattr(site, "meanwhile", lambda task, needed: here(task, needed=False))
    others = {}
    for count in (4, 9):
        for number in range(count):
            say(number, "as it was")
        again()
        say(0, f"changed among {count}")
        others[count] = counting(
            again, (check, "read"), (build_cache, "_hash"), (recovery, "_content"),
            (shutil, "copy2"), (os, "fsync"), (os, "link"), (os, "scandir"),
        )  # fmt: skip
    more = {what: others[9][what] - others[4][what] for what in others[9]}
    assert more.pop("_hash") == more.pop("link") == 5 * 2  # studies more, and files of each
    assert more.pop("scandir") == 5 * 2 * 2  # and folders of each, and looks
    assert not any(more.values()), more
    assert others[9]["read"] == 1  # the changed study's page; the others are known
    assert others[9]["copy2"] == 0


def test_pages_that_tell_of_no_study_are_not_made_again_for_one(say, again, target, counting):
    """A study's answer stands on the front page, so that is new; the glossary is not."""
    say(0, "as it was")
    again()
    say(1, "another")
    made = ((frontpage, "guide_pages"), (frontpage, "shared_pages"), (check, "read"))
    assert counting(again, *made) == {"shared_pages": 1, "read": 2}
    assert b"s1/index.html" in (target / "index.html").read_bytes()
    (target / "how" / "verdicts" / "index.html").write_text("spoilt")
    assert counting(again, *made)["guide_pages"] == 1


def test_the_old_site_is_cleared_several_folders_at_a_time(say, again, monkeypatch):
    """Where each waits for the disk, they wait together: here each waits for all others."""
    for number in range(recovery.HANDS):
        say(number, "as it was")
    again()
    say(0, "changed")
    together, real = threading.Barrier(recovery.HANDS), os.rmdir

    def rmdir(path, **named) -> None:
        if Path(path).name == "data":
            together.wait(20)
        real(path, **named)

    monkeypatch.setattr(os, "rmdir", rmdir)
    assert len(again().unchanged) == recovery.HANDS - 1 > 0


def test_a_known_page_is_still_found_where_what_it_leads_to_is_gone(say, again, target, tmp_path):
    say(0, "<a href='../s1/index.html#place%201'>there</a>")
    say(1, "<h2 id='place 1'>here</h2>")
    say(2, "as it was")
    again()
    say(2, "changed")
    assert again().unchanged == ["s0", "s1"]
    good = {path: path.read_bytes() for path in target.rglob("*") if path.is_file()}
    say(1, "<h2 id='place 2'>here</h2>")
    with pytest.raises(BrokenPageError, match=r"^s0/index.html: .* no such place on that page"):
        again()
    shutil.rmtree(tmp_path / "home" / "studies" / "s1")
    with pytest.raises(BrokenPageError, match=r"^s0/index.html: .* which is not there"):
        again()
    assert good == {path: path.read_bytes() for path in target.rglob("*") if path.is_file()}
    say(0, "no link")
    assert again().gone == ["s1"]


@pytest.mark.filterwarnings("ignore:.*fork.*:DeprecationWarning")  # Python 3.12 and later
def test_pages_are_looked_over_by_another_process_while_one_is_built(
    say, again, target, monkeypatch
):
    """What it finds spoilt is built after that."""
    monkeypatch.setattr(workers.threading, "active_count", lambda: 1)  # pytest has others
    looked: list[int] = []
    submit = workers.ProcessPoolExecutor.submit

    def seen(pool, task):
        looked.append(submit(pool, os.getpid).result())
        return submit(pool, task)

    monkeypatch.setattr(workers.ProcessPoolExecutor, "submit", seen)
    for number in range(3):
        say(number, "as it was")
    again()
    assert not looked  # all had to be built
    say(0, "changed")
    whole = (target / "s1" / "index.html").read_bytes()
    (target / "s1" / "index.html").write_text("spoilt")
    outcome = again()
    assert len(looked) == 1 and looked[0] != os.getpid()
    assert outcome.unchanged == ["s2"]
    assert (target / "s1" / "index.html").read_bytes() == whole


@pytest.mark.filterwarnings("ignore:.*fork.*:DeprecationWarning")  # Python 3.12 and later
def test_a_look_that_is_ended_from_outside_is_taken_again_here(monkeypatch):
    monkeypatch.setattr(workers.threading, "active_count", lambda: 1)
    here = os.getpid()
    with workers.meanwhile(partial(end_unless, here), needed=True) as found:
        assert found() == here


@pytest.mark.filterwarnings("ignore:.*fork.*:DeprecationWarning")  # Python 3.12 and later
def test_what_a_process_that_was_ended_had_taken_over_is_taken_over_again(
    say, again, target, monkeypatch
):
    monkeypatch.setattr(workers.threading, "active_count", lambda: 1)
    for number in range(3):
        say(number, "as it was")
    again()
    here, link = os.getpid(), os.link

    def once(*given, **named):
        link(*given, **named)
        end_unless(here)

    monkeypatch.setattr(os, "link", once)
    say(0, "changed")
    good = (target / "s1" / "index.html").read_bytes()
    assert again().unchanged == ["s1", "s2"]
    assert (target / "s1" / "index.html").read_bytes() == good
    assert b"changed" in (target / "s0" / "index.html").read_bytes()


def test_beside_another_thread_no_copy_of_this_process_is_made():
    stop = threading.Event()
    other = threading.Thread(target=stop.wait)
    other.start()
    try:
        with workers.meanwhile(os.getpid, needed=True) as found:
            assert found() == os.getpid()
    finally:
        stop.set()
        other.join()


def end_unless(process: int) -> int:
    if os.getpid() != process:
        os.kill(os.getpid(), signal.SIGKILL)
    return os.getpid()
