"""A publish that is killed, SIGKILL included, leaves the old site or the new one."""

from __future__ import annotations

import json
import random
import subprocess
import sys
import time
from pathlib import Path

import pytest

from explainer.publish.check import check_site
from explainer.publish.manifest import NAME, digest, read_manifest

#: Publishes one edition after the other, as fast as it can, until it is killed.
ENDLESS = """
import sys
from pathlib import Path
from explainer.publish.manifest import Built, Listing
from explainer.publish.site import publish
from explainer.study.workspace import open_workspace

home, target = Path(sys.argv[1]), Path(sys.argv[2])
workspace = open_workspace(home)
edition = 0
while True:
    edition += 1
    def build(folder, workspace):
        page = f"<h1>{folder.name} edition {edition}</h1><a href='../index.html'>x</a>"
        files = {f"data/{i}.csv": str(edition).encode() for i in range(20)}
        return Built(Listing(folder.name, "T", "Q?", f"edition {edition}"),
                     {"index.html": page.encode(), **files})
    publish(workspace, {"one": Path("one"), "two": Path("two")}, target, build=build)
    print(edition, flush=True)
"""


def editions_of(target: Path) -> set[str]:
    """The editions found in all files of the studies: one, if the site is whole."""
    found = {p.read_text() for p in target.glob("*/data/*.csv")}
    for page in target.glob("[ot]*/index.html"):
        found.add(page.read_text().split("edition ")[1].split("<")[0])
    return found


@pytest.mark.slow
def test_a_kill_at_any_moment_leaves_a_whole_site(tmp_path):
    home, target = tmp_path / "home", tmp_path / "site"
    (home / "studies").mkdir(parents=True)
    when = random.Random(11)
    seen = set()
    for _ in range(100):
        process = subprocess.Popen(
            [sys.executable, "-c", ENDLESS, str(home), str(target)],
            stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
        )  # fmt: skip
        assert process.stdout is not None
        first = process.stdout.readline()
        assert first == "1\n", process.stderr.read()  # the last kill's litter was no bar
        (target / "CNAME").write_text("not ours")
        time.sleep(when.uniform(0, 0.8))
        process.kill()
        process.communicate()
        manifest = read_manifest(target)
        check_site(target, manifest.files)
        assert {p: digest((target / p).read_bytes()) for p in manifest.files} == manifest.files
        assert len(editions_of(target)) == 1, editions_of(target)
        assert (target / "CNAME").read_text() == "not ours"
        seen.add(json.loads((target / NAME).read_text())["studies"]["one"]["answer"])
    assert len(seen) > 3  # the kills did come at different editions
