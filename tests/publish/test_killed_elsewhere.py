"""Kills where the world is less kind: no exchange of names, several workers, two at one folder.

Beside ``test_killed.py``.  A few each time; ``--kills 40`` makes 120 in all, with those there.
"""

from __future__ import annotations

import json
import os
import random
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from explainer.errors import TargetBusyError
from explainer.publish import exchange
from explainer.publish.check import check_site
from explainer.publish.exchange import held, staged
from explainer.publish.manifest import NAME, Manifest, digest, read_manifest
from explainer.publish.recovery import beside
from explainer.publish.site import publish

#: A module that worker processes can import: two studies, built in no time.
STUBS = """
import os, sys
from pathlib import Path
from explainer.publish import exchange, frontpage
from explainer.publish.manifest import Built, Listing
from explainer.publish.site import publish
from explainer.study.load import open_workspace

def build(folder, workspace):
    edition = (workspace.root / "edition").read_text()
    page = f"<h1>{folder.name} edition {edition}</h1><a href='../index.html'>x</a>"
    files = {f"data/{i}.csv": edition.encode() for i in range(20)}
    return Built(Listing(folder.name, "T", "Q?", f"edition {edition}"),
                 {"index.html": page.encode(), **files})

def one(workspace, target, edition, workers=1):
    (workspace.root / "next").write_text(str(edition))
    os.replace(workspace.root / "next", workspace.root / "edition")
    front = f"<h1>edition {edition}</h1><a href='one/index.html'>x</a>".encode()
    frontpage.shared_pages = lambda *given: {"index.html": front}
    frontpage.guide_pages = lambda workspace: {}
    folders = {name: Path(name) for name in ("one", "two", "three")}
    return publish(workspace, folders, target, build=build, workers=workers)
"""
ENDLESS = """
import sys, time
from pathlib import Path
import stubs
from explainer.publish import exchange
from explainer.study.load import open_workspace

if __name__ == "__main__":
    workspace, target = open_workspace(Path(sys.argv[1])), Path(sys.argv[2])
    how, edition = sys.argv[3], int(sys.argv[4])
    if how == "two steps":
        exchange._exchanged = lambda a, b: False
    while True:
        edition += 1
        kept = stubs.one(workspace, target, edition, 2 if how == "workers" else 1).set_aside
        print("kept" if kept else "edition", edition, flush=True)
"""


@pytest.fixture
def home(tmp_path) -> Path:
    root = tmp_path / "home"
    (root / "studies").mkdir(parents=True)
    (tmp_path / "code").mkdir()
    (tmp_path / "code" / "stubs.py").write_text(STUBS)
    (tmp_path / "code" / "endless.py").write_text(ENDLESS)
    return root


def started(home: Path, target: Path, how: str, edition: int) -> subprocess.Popen[str]:
    code = home.parent / "code"
    return subprocess.Popen(
        [sys.executable, str(code / "endless.py"), str(home), str(target), how, str(edition)],
        stdout=subprocess.PIPE, text=True, start_new_session=True,
        env={**os.environ, "PYTHONPATH": f"{code}{os.pathsep}{os.environ.get('PYTHONPATH', '')}"},
    )  # fmt: skip


def killed(home: Path, target: Path, how: str, times: int, when: random.Random) -> Iterator[str]:
    """What lay beside the site after each of so many kills, of the whole group or of the parent
    alone; whatever was there before is there still, and the next publish is not stopped by it."""
    edition = 0
    for number in range(times):
        with started(home, target, how, edition) as process:
            assert process.stdout is not None
            said = process.stdout.readline().split()
            assert said and said[0] == "edition"  # no litter was a bar
            (target / "CNAME").write_text("not ours")
            began = time.monotonic()
            process.stdout.readline()
            time.sleep(when.uniform(0, 1.2) * (time.monotonic() - began))
            if number % 2:
                os.killpg(process.pid, signal.SIGKILL)
            else:
                process.kill()
            said = (process.stdout.read().split() or said)[-1:]
        edition = int((home / "edition").read_text())
        yield " ".join(p.name for p in target.parent.iterdir() if p.name.startswith(".site"))


def whole(target: Path) -> str:
    """The one edition of a site, every file of which is as its list says."""
    manifest = read_manifest(target)
    check_site(target, manifest.files)
    assert {p: digest((target / p).read_bytes()) for p in manifest.files} == manifest.files
    found = {p.read_text() for p in target.glob("*/data/*.csv")}
    found |= {p.read_text().split("edition ")[1].split("<")[0] for p in target.rglob("index.html")}
    assert len(found) == 1, found
    assert len(manifest.files) == 1 + 3 * 21
    return found.pop()


@pytest.mark.slow
def test_kills_where_names_cannot_be_exchanged(home, tmp_path, pytestconfig):
    """Between the two renames there is no site, and both lie beside: the next brings one back."""
    target, seen, times = tmp_path / "site", set(), pytestconfig.getoption("--kills")
    for left in killed(home, target, "two steps", times, random.Random(21)):
        if not target.exists():
            whole(beside(target, "old"))
            whole(beside(target, "new"))
        with held(target):
            seen.add(whole(target))
        assert (target / "CNAME").read_text() == "not ours", left
    assert len(seen) > times // 2


@pytest.mark.slow
def test_kills_with_several_workers(home, tmp_path, pytestconfig):
    target, seen, litter = tmp_path / "site", set(), set()
    times = pytestconfig.getoption("--kills") // 2
    for left in killed(home, target, "workers", times, random.Random(22)):
        litter |= {*left.split()}
        seen.add(whole(target))
        assert (target / "CNAME").read_text() == "not ours"
    assert len(seen) > times // 2 and litter <= {".site.explainer-new", ".site.explainer-lock"}


@pytest.mark.seldom
@pytest.mark.slow
def test_two_that_publish_into_one_folder_never_mix(home, tmp_path):
    """One of them waits its turn: what anybody sees is one edition, whole."""
    target = tmp_path / "site"
    code = (
        "import sys, time; from pathlib import Path; import stubs\n"
        "from explainer.errors import TargetBusyError\n"
        "from explainer.study.load import open_workspace\n"
        "home, target, done = open_workspace(Path(sys.argv[1])), Path(sys.argv[2]), 0\n"
        "edition = int(sys.argv[3])\n"
        "while done < 12:\n"
        "    try:\n        stubs.one(home, target, edition + done); done += 1\n"
        "    except TargetBusyError:\n        time.sleep(0.01)\n"
    )
    homes = [home, tmp_path / "other"]
    (homes[1] / "studies").mkdir(parents=True)
    environment = {**os.environ, "PYTHONPATH": str(tmp_path / "code") + os.pathsep
                   + os.environ.get("PYTHONPATH", "")}  # fmt: skip
    both = [
        subprocess.Popen([sys.executable, "-c", code, str(place), str(target), str(1000 * n)],
                         env=environment, stderr=subprocess.PIPE, text=True)
        for n, place in enumerate(homes, 1)
    ]  # fmt: skip
    seen = set()
    while any(process.poll() is None for process in both):
        if target.exists():
            said = json.loads((target / NAME).read_bytes())["studies"].values()
            seen.add(tuple({listing["answer"] for listing in said}))
        time.sleep(0.005)
    for process in both:
        _, errors = process.communicate()
        assert process.returncode == 0, errors
    assert all(len(editions) == 1 for editions in seen)
    assert whole(target) in {"1011", "2011"}
    assert sorted(p.name for p in tmp_path.iterdir()) == ["code", "home", "other", "site"]


@pytest.mark.parametrize("when", ["before its first file", "in the middle", "at its end"])
def test_one_whose_lock_is_not_seen_is_never_mixed_in(
    workspace, folders, quickly, target, monkeypatch, when
):
    """Two computers on a shared folder that keeps locks to each: the site is one edition's, whole,
    and whoever was overtaken says so."""
    monkeypatch.setattr(exchange, "lock_now", lambda handle: None)
    publish(workspace, folders, target, build=quickly)

    def other() -> None:
        publish(workspace, {"first": Path("first"), "third": Path("third")}, target, build=quickly)

    def overtaken(folder, workspace):
        if (folder.name, when) in (("first", "before its first file"), ("second", "in the middle")):
            other()
        return quickly(folder, workspace)

    if when == "at its end":
        whole_before = exchange.Staging.complete

        def complete(self, manifest):
            found = whole_before(self, manifest)
            monkeypatch.setattr(exchange.Staging, "complete", whole_before)
            other()
            return found

        monkeypatch.setattr(exchange.Staging, "complete", complete)
    if when == "before its first file":  # nothing of it stood there yet: it comes after the other
        publish(workspace, folders, target, build=overtaken)
        names = {"first", "second"}
    else:
        with pytest.raises(TargetBusyError, match="whose locks are not seen here"):
            publish(workspace, folders, target, build=overtaken)
        names = {"first", "third"}
    manifest = read_manifest(target)
    assert set(manifest.studies) == names
    check_site(target, manifest.files)
    assert {p: digest((target / p).read_bytes()) for p in manifest.files} == manifest.files
    assert [p.name for p in target.parent.iterdir() if p.name.startswith(".site")] == []
    publish(workspace, folders, target, build=quickly)
    assert set(read_manifest(target).studies) == {"first", "second"}


def test_a_file_of_another_in_the_new_site_is_seen(target):
    """The other, overtaken, goes on writing into what is not its own any more."""

    def overwritten() -> None:
        with staged(target, Manifest()) as new:
            new.write("index.html", b"mine")
            (new.root / "index.html").unlink()
            (new.root / "index.html").write_bytes(b"another's")

    with pytest.raises(TargetBusyError, match="not seen here"):
        overwritten()
    assert not target.exists()


def test_a_clock_that_was_set_back_hides_no_change(
    workspace, folders, quickly, target, monkeypatch
):
    """What is built again follows what files hold, never when they were written."""
    from explainer.publish import site
    from explainer.publish.manifest import Built, Listing

    study = workspace.root / "studies" / "one"
    study.mkdir()
    monkeypatch.setattr(site, "shared_inputs", lambda workspace: "the same")

    def build(folder, workspace):
        said = (folder / "study.yaml").read_bytes()
        page = b"<!doctype html><title>t</title><a href='../index.html'>" + said + b"</a>"
        return Built(Listing("one", "T", "Q?", "A."), {"index.html": page},
                     read={"study.yaml": digest(said)})  # fmt: skip

    monkeypatch.setattr(site, "from_folder", build)
    for said, when in ((b"now", 2_000_000_000), (b"old", 1_000_000_000), (b"new", 0)):
        (study / "study.yaml").write_bytes(said)
        os.utime(study / "study.yaml", (when, when))
        monkeypatch.setattr(time, "time", lambda when=when: float(when))
        outcome = publish(workspace, {"one": study}, target)
        assert outcome.published == ["one"] and outcome.unchanged == []
        assert said in (target / "one" / "index.html").read_bytes()
    assert publish(workspace, {"one": study}, target).unchanged == ["one"]
