"""A publish that is killed, SIGKILL included, leaves the old site or the new one."""

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

from explainer.publish.check import check_site
from explainer.publish.manifest import NAME, digest, read_manifest

#: For each line it is sent: a process of its own that goes on until it is killed.
SERVE = """
import os
import sys

def say(*words):
    os.write(1, (" ".join(map(str, words)) + "\\n").encode())  # whole, even if killed next

for line in sys.stdin:
    child = os.fork()
    if child == 0:
        try:
            endless()
        finally:
            os._exit(1)
    say("child", child)
    say("ended", os.waitpid(child, 0)[1])
"""
#: Publishes one edition after the other, as fast as it can.  The pages that belong to no study are
#: made cheap, since what is killed here is the writing.
ENDLESS = """
import os
import sys
from pathlib import Path
from explainer.publish import frontpage
from explainer.publish.manifest import Built, Listing
from explainer.publish.site import publish
from explainer.study.load import open_workspace

home, target = Path(sys.argv[1]), Path(sys.argv[2])
workspace = open_workspace(home)
frontpage.guide_pages = lambda workspace: {}

def endless():
    edition = 0
    while True:
        edition += 1
        front = f"<h1>edition {edition}</h1><a href='one/index.html'>x</a>".encode()
        frontpage.shared_pages = lambda *given: {"index.html": front}
        def build(folder, workspace):
            page = f"<h1>{folder.name} edition {edition}</h1><a href='../index.html'>x</a>"
            files = {f"data/{i}.csv": str(edition).encode() for i in range(20)}
            return Built(Listing(folder.name, "T", "Q?", f"edition {edition}"),
                         {"index.html": page.encode(), **files})
        outcome = publish(workspace, {"one": Path("one"), "two": Path("two")}, target, build=build)
        say("kept" if outcome.set_aside else "edition", edition)
"""


#: The same where one study changes and others stay, which another process takes over meanwhile.
STAYING = """
import os, sys, time
from pathlib import Path
from explainer.publish import frontpage, site
from explainer.publish.manifest import Built, Listing, digest
from explainer.study.load import open_workspace

home, target = Path(sys.argv[1]), Path(sys.argv[2])
workspace = open_workspace(home)
folders = {f.name: f for f in sorted((home / "studies").iterdir())}
frontpage.guide_pages = lambda workspace: {}
front = b"<h1>all</h1><a href='one/index.html'>x</a>"
frontpage.shared_pages = lambda *given: {"index.html": front}

def build(folder, workspace):
    said = (folder / "study.yaml").read_bytes()
    time.sleep(0.005)
    page = f"<h1>edition {said.decode()}</h1><a href='../index.html'>x</a>".encode()
    return Built(Listing(folder.name, "T", "Q?", f"edition {said.decode()}"),
                 {"index.html": page, **{f"data/{i}.csv": said for i in range(20)}},
                 read={"study.yaml": digest(said)})

site.from_folder = build

def endless():
    edition = int((folders["one"] / "study.yaml").read_text())
    while True:
        edition += 1
        (home / "next").write_text(str(edition))  # whole, whenever the kill comes
        os.replace(home / "next", folders["one"] / "study.yaml")
        outcome = site.publish(workspace, folders, target)
        say("kept" if outcome.set_aside else "edition", len(outcome.unchanged))
"""


def editions_of(target: Path) -> set[str]:
    """The editions found in all files of the studies: one, if the site is whole."""
    found = {p.read_text() for p in target.glob("*/data/*.csv")}
    for page in target.rglob("index.html"):
        found.add(page.read_text().split("edition ")[1].split("<")[0])
    return found


def killed(
    code: str, home: Path, target: Path, times: int, when: random.Random, most: int = 1,
    **environment: str,
) -> Iterator[list[str]]:  # fmt: skip
    """What each of ``times`` processes said, killed at a moment within an edition, after up to
    ``most`` of them; the site was whole each time, with a file of somebody else's in it."""
    with subprocess.Popen(
        [sys.executable, "-c", code + SERVE, str(home), str(target)],
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True,
        env={**os.environ, **environment},
    ) as process:  # fmt: skip
        assert process.stdin is not None and process.stdout is not None
        for _ in range(times):
            process.stdin.write("go\n")
            process.stdin.flush()
            said = [process.stdout.readline().split() for _ in range(2)]
            assert sorted(word for word, _ in said) == ["child", "edition"]  # no litter was a bar
            (target / "CNAME").write_text("not ours")
            began = time.monotonic()
            editions = when.randint(1, most)
            lines = [process.stdout.readline() for _ in range(editions)]
            time.sleep(when.uniform(0, 1.2) * (time.monotonic() - began) / editions)
            os.kill(next(int(number) for word, number in said if word == "child"), signal.SIGKILL)
            while not (line := process.stdout.readline()).startswith("ended"):
                lines.append(line)
            assert all(line.startswith("edition") for line in lines)
            manifest = read_manifest(target)
            check_site(target, manifest.files)
            assert {p: digest((target / p).read_bytes()) for p in manifest.files} == manifest.files
            assert (target / "CNAME").read_text() == "not ours"
            yield lines
        process.stdin.close()


@pytest.mark.slow
def test_a_kill_at_any_moment_leaves_a_whole_site(tmp_path):
    """Each of 40 is killed after some editions, at a moment within the next one."""
    home, target = tmp_path / "home", tmp_path / "site"
    (home / "studies").mkdir(parents=True)
    seen, found = set(), set()
    for _ in killed(ENDLESS, home, target, 40, random.Random(11), most=3):
        found |= {p.name for p in tmp_path.iterdir()}
        assert len(editions_of(target)) == 1, editions_of(target)
        seen.add(json.loads((target / NAME).read_text())["studies"]["one"]["answer"])
    assert len(seen) > 2  # the kills did come at different editions
    assert ".site.explainer-new" in found  # and in the middle of one


@pytest.mark.slow
def test_a_kill_while_another_process_takes_over_what_stays_leaves_a_whole_site(tmp_path):
    home, target = tmp_path / "home", tmp_path / "site"
    for name in ("one", "two", "three", "four", "five"):
        (home / "studies" / name).mkdir(parents=True)
        (home / "studies" / name / "study.yaml").write_text("0")
    found, cache = set(), str(tmp_path / "cache")
    for lines in killed(STAYING, home, target, 20, random.Random(12), EXPLAINER_CACHE=cache):
        assert lines[0].split() == ["edition", "4"]  # studies that stay
        found |= {p.name for p in tmp_path.iterdir()}
        assert len(read_manifest(target).files) == 1 + 5 * 21
        one = {p.read_text() for p in (target / "one" / "data").iterdir()}
        assert len(one) == 1
        assert f"edition {one.pop()}<" in (target / "one" / "index.html").read_text()
    assert ".site.explainer-new" in found
