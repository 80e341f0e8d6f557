"""Several workers give what one gives, in the same order; a worker that dies is one clear line."""

from __future__ import annotations

import os
import subprocess
import sys
import threading
import time
from functools import partial
from pathlib import Path

import pytest

from explainer.publish.manifest import Built, Listing
from explainer.publish.rehearse import Stage
from explainer.publish.site import publish
from explainer.study.load import open_workspace
from explainer.study.model import Workspace

#: A module of its own, since a worker has to import what it runs.
CODE = '''
import gc, os, signal, sys, time
from pathlib import Path
from explainer.errors import DescriptionError, OutputError, Problem
from explainer.publish.manifest import Built, Listing
from explainer.publish.site import publish
from explainer.publish.workers import build_all
from explainer.study.load import open_workspace

PAGE = "<!doctype html><html lang=en><title>t</title><h1>{}</h1><a href='../index.html'>.</a>"
NAMES = {name: Path(name) for name in ("a", "b", "c", "d", "e")}

def build(folder, workspace):
    """The first takes longest, so that results do not come in the order they were asked for."""
    if folder.name == "a":
        time.sleep(0.3)
    if folder.name == "c":
        raise DescriptionError((Problem("study.yaml", 3, found="x"), Problem("study.yaml", 4)))
    page = PAGE.format(folder.name).encode()
    return Built(Listing(folder.name, folder.name, "Q?", "A."), {"index.html": page})

def looking(folder, workspace):
    return Built(Listing(folder.name, str(gc.get_threshold()), "Q?", "A."), {})

class Knot:
    """Only a look for lost objects finds it."""

    def __init__(self):
        self.self = self

def knotting(folder, workspace):
    """Says how many knots of the studies before are left."""
    left = sum(isinstance(o, Knot) for o in gc.get_objects())
    knots = [Knot() for _ in range(3)]
    return Built(Listing(folder.name, str(left), "Q?", "A."), {})

def dying(folder, workspace):
    os.kill(os.getpid(), signal.SIGKILL)

def same(one, two):
    if isinstance(one, DescriptionError):
        return type(two) is DescriptionError and two.problems == one.problems
    return one == two

def bytes_of(target):
    return {str(p.relative_to(target)): p.read_bytes() for p in target.rglob("*") if p.is_file()}

if __name__ == "__main__":
    home = Path(sys.argv[1])
    workspace = open_workspace(home)
    one, two = (list(build_all(NAMES, workspace, n, build)) for n in (1, 2))
    assert [name for name, _ in two] == list(NAMES)
    assert all(same(a, b) for (_, a), (_, b) in zip(one, two, strict=True))

    seen = {built.listing.title for _, built in build_all(NAMES, workspace, 2, looking)}
    assert seen == {"(10000, 10, 10)"}, seen

    for workers in (1, 2):
        left = {built.listing.title for _, built in build_all(NAMES, workspace, workers, knotting)}
        assert left == {"0"}, left

    sites = []
    for workers in (1, 2, 3):
        outcome = publish(workspace, NAMES, home / f"site{workers}", build=build, workers=workers)
        assert list(outcome.failed) == ["c"]
        sites.append(bytes_of(home / f"site{workers}"))
    assert sites[0] == sites[1] == sites[2]

    try:
        publish(workspace, NAMES, home / "site1", build=dying, workers=2)
    except OutputError as fault:
        print(fault)
    assert bytes_of(home / "site1") == sites[0]
    print(sorted(p.name for p in home.iterdir() if ".explainer-" in p.name))
'''


@pytest.fixture(scope="module")
def ran(tmp_path_factory) -> str:
    home = tmp_path_factory.mktemp("home")
    (home / "studies").mkdir()
    (home / "several.py").write_text(CODE)
    done = subprocess.run(
        [sys.executable, "several.py", str(home)], capture_output=True, text=True, cwd=home,
        timeout=100, env={**os.environ, "PYTHONPATH": str(Path(__file__).parents[2])},
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    return done.stdout


def test_several_workers_give_what_one_gives(ran):
    assert ran  # the assertions stand in the process of its own


def test_a_worker_that_is_killed_is_one_line_and_leaves_the_old_site(ran):
    line, litter = ran.splitlines()
    assert line.startswith("a worker was ended from outside")
    assert "what was published before still stands" in line
    assert litter == "[]"


def test_threads_of_one_process_build_one_after_the_other(tmp_path):
    """Neither what sets type nor what draws is made for several threads."""
    (tmp_path / "studies").mkdir()
    workspace, inside, most = open_workspace(tmp_path), [], []

    def build(folder: Path, _: Workspace) -> Built:
        inside.append(folder)
        most.append(len(inside))
        time.sleep(0.05)
        inside.remove(folder)
        page = b"<!doctype html><html lang=en><title>t</title><h1>t</h1>"
        page += b"<a href='../index.html'>.</a>"
        return Built(Listing(folder.name, folder.name, "Q?", "A."), {"index.html": page})

    def anew(into: str) -> None:
        publish(workspace, {"a": Path("a")}, tmp_path / into, build=build)

    stage = Stage(tmp_path, tmp_path / "shown", lambda line: None, build)
    stage.folders = lambda: {"a": Path("a")}  # type: ignore[method-assign]
    tasks = [partial(anew, f"site{i}") for i in range(3)] + [stage.rebuild, stage.rebuild]
    threads = [threading.Thread(target=task) for task in tasks]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert most == [1] * len(tasks)
    assert (tmp_path / "site2" / "a" / "index.html").is_file()
