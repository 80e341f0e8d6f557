"""Kills of the command itself: real studies, several workers, every edition with the kit, while the
same workspace is rehearsed.

Each kill costs a build with all its films, so that none is made unless it is asked for:
`--kills 20`.
"""

from __future__ import annotations

import os
import random
import re
import select
import shutil
import signal
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

import fuzz
import pytest

from explainer.publish.check import check_site
from explainer.publish.commands import EDITIONS, KIT
from explainer.publish.manifest import digest, read_manifest

#: For each line it is sent, a process that publishes once; libraries are read before.
PUBLISHER = """
import os, sys
import explainer.publish.build
from explainer.cli import main

for line in sys.stdin:
    child = os.fork()
    if child == 0:
        os.setsid()
        try:
            main(line.split())
        except SystemExit as end:
            os._exit(int(end.code or 0))
        finally:
            os._exit(99)
    os.write(1, f"{child}\\n".encode())
    os.write(1, f"{os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])}\\n".encode())
"""
NEW = ".site.explainer-new"


class Publisher:
    """Publishes a workspace, whole or until it is killed."""

    def __init__(self, process: subprocess.Popen[str], home: Path, editions: list[str]) -> None:
        assert process.stdin is not None and process.stdout is not None
        self.home, self.site, self.said = home, home / "site", process.stdout
        self.sent = process.stdin
        chosen = " ".join(f"--edition {edition}" for edition in editions)
        self.line = f"--workspace {home} publish -q --workers 2 {chosen}"

    def _begun(self, edition: int) -> int:
        for study in (self.home / "studies").glob("*/study.yaml"):
            text = re.sub("^title: .*", f"title: Covers, edition {edition}.", study.read_text())
            (study.parent / "next").write_text(text)
            (study.parent / "next").replace(study)
        self.sent.write(self.line + "\n")
        self.sent.flush()
        return int(self.said.readline())

    def whole(self, edition: int) -> tuple[int, float]:
        """Exit status and seconds of a publish that nobody disturbs."""
        began = time.monotonic()
        self._begun(edition)
        return int(self.said.readline()), time.monotonic() - began

    def killed(self, edition: int, seconds: float, within: bool, alone: bool) -> int:
        """The end of one that is killed after so many seconds, counted from when it begins or,
        ``within``, from when the new site is first seen; ``alone``: its workers are not."""
        child = self._begun(edition)
        new, give_up = self.site.parent / NEW, time.monotonic() + 200
        while within and not new.exists() and time.monotonic() < give_up:
            if select.select([self.said], [], [], 0)[0]:  # it has ended by itself
                break
            time.sleep(0.002)
        time.sleep(seconds)
        with_workers = os.killpg if not alone else os.kill
        with suppress(ProcessLookupError):  # it was quicker
            with_workers(child, signal.SIGKILL)
        return int(self.said.readline())


@contextmanager
def rehearsal(home: Path) -> Iterator[str]:
    """The address of the workspace's page, anew at each save, from a process of its own."""
    with subprocess.Popen(
        [sys.executable, "-m", "explainer", "--workspace", str(home), "rehearse", "--port", "0"],
        stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True,
    ) as process:  # fmt: skip
        assert process.stdout is not None
        said = process.stdout.readline()
        address = re.search(r"http://\S+", said)
        assert address, said
        try:
            yield address[0]
            assert process.poll() is None  # it has seen many saves and kills
        finally:
            process.send_signal(signal.SIGINT)
            process.communicate(timeout=300)


def editions_in(site: Path) -> set[str]:
    """The editions of a site, every file of which is as its list says."""
    manifest = read_manifest(site)
    check_site(site, manifest.files)
    assert {p: digest((site / p).read_bytes()) for p in manifest.files} == manifest.files
    pages = [site / name / "index.html" for name in ("one", "two")]
    return {found for page in pages for found in re.findall(r"edition (\d+)\.", page.read_text())}


@pytest.mark.slow
def test_kills_of_a_whole_publish_while_it_is_rehearsed(tmp_path, pytestconfig):
    times, when = pytestconfig.getoption("--kills"), random.Random(31)
    if times < 20:
        pytest.skip("half a minute of processor for each kill; ask with --kills 20")
    editions = [*EDITIONS, KIT]
    home = tmp_path / "home"
    fuzz._workspace(home)
    shutil.copytree(home / "studies" / "one", home / "studies" / "two")
    with rehearsal(home) as address, subprocess.Popen(
        [sys.executable, "-c", PUBLISHER], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    ) as process:  # fmt: skip
        publisher = Publisher(process, home, editions)
        status, lasts = publisher.whole(0)
        assert status == 0 and editions_in(home / "site") == {"0"}
        (home / "site" / "CNAME").write_text("not ours")
        seen, cut = {"0"}, 0
        for number in range(1, times + 1):
            within = bool(number % 2)
            late = when.uniform(0, 0.4) if within else when.uniform(0, 1.1 * lasts)
            cut += publisher.killed(number, late, within, bool(number % 3)) < 0
            (edition,) = editions_in(home / "site")
            assert edition in {*seen, str(number)}
            seen.add(edition)
            assert (home / "site" / "CNAME").read_text() == "not ours"
            print(f"kill {number}: {late:.2f} s {'into writing' if within else 'in all'}, "
                  f"edition {edition}, of {lasts:.0f} s")  # fmt: skip
        assert cut
        assert publisher.whole(1_000)[0] == 0 and editions_in(home / "site") == {"1000"}
        left = sorted(p.name for p in home.iterdir() if p.name.startswith("."))
        assert left == [], left
        with urllib.request.urlopen(address + "one/index.html", timeout=300) as answer:
            assert "edition 1000." in until_whole(answer.read().decode(), address)
        assert process.stdin is not None
        process.stdin.close()


def until_whole(page: str, address: str) -> str:
    """The rehearsed page, once it has caught up with the last save."""
    give_up = time.monotonic() + 120
    while "edition 1000." not in page and time.monotonic() < give_up:
        time.sleep(0.5)
        with urllib.request.urlopen(address + "one/index.html", timeout=300) as answer:
            page = answer.read().decode()
    return page
