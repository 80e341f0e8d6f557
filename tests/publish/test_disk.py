"""Real disks, limits and processes in the way, no call patched: one line, nothing lost.

A full and a read-only file system need the right to mount one (in a mount namespace of its own,
which ends with the test); where that is missing, the limit on a file's size and a file in the
folder's place stand for them.
"""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from explainer.errors import OutputError, TargetBusyError
from explainer.publish.exchange import held
from explainer.publish.site import publish

#: publish(size) publishes two studies, each with a file of so many bytes, and prints what is said.
PUBLISHES = """
import resource, subprocess, sys
from pathlib import Path
from explainer.errors import ExplainerError
from explainer.publish import frontpage, site
from explainer.publish.manifest import Built, Listing
from explainer.study.load import open_workspace

home, target = Path(sys.argv[1]), Path(sys.argv[2])
frontpage.shared_pages = lambda *given: {"index.html": b"<h1>all</h1>"}
frontpage.guide_pages = lambda workspace: {}

def publish(size):
    def build(folder, workspace):
        files = {"index.html": b"<h1>x</h1>", "data/a.csv": b"7" * size}
        return Built(Listing(folder.name, "T", "Q?", "A."), files)
    try:
        site.publish(open_workspace(home), {"one": Path("one"), "two": Path("two")}, target,
                     build=build)
        print("published")
    except ExplainerError as fault:
        print(fault.exit_status, fault)

def mount(*how):
    subprocess.run(["mount", *how], check=True)

def show():
    for path in sorted(target.parent.rglob("*")):
        if path.is_file():
            print(path.relative_to(target.parent), path.stat().st_size)
"""


def said(home: Path, target: Path, code: str, *before: str) -> list[str]:
    """What a process of its own says that runs ``code``."""
    done = subprocess.run(
        [*before, sys.executable, "-c", PUBLISHES + code, str(home), str(target)],
        capture_output=True, text=True, timeout=100,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    return done.stdout.splitlines()


@pytest.fixture(scope="module")
def own_mounts() -> tuple[str, ...]:
    """What to run a command with so that it may mount, unseen by all others."""
    command = ("unshare", "--mount", "--propagation", "private")
    try:
        done = subprocess.run(
            [*command, "mount", "-t", "tmpfs", "none", "/mnt"], capture_output=True, text=True
        )
    except FileNotFoundError:
        pytest.skip("no unshare here")
    if done.returncode:
        pytest.skip(f"may not mount here: {done.stderr.strip()}")
    return command


def test_a_disk_that_is_full_leaves_the_site(workspace, target, tmp_path, own_mounts):
    disk = tmp_path / "disk"
    disk.mkdir()
    lines = said(
        workspace.root, disk / "site",
        'mount("-t", "tmpfs", "-o", "size=1m", "none", str(target.parent))\n'
        "publish(100_000); show(); print('-'); publish(600_000); show(); print('-')\n"
        "publish(200_000); show()\n", *own_mounts,
    )  # fmt: skip
    first, full, again = " | ".join(lines).split(" | - | ")
    assert first.startswith("published") and "site/one/data/a.csv 100000" in first
    line, *rest = full.split(" | ")
    assert line.startswith("4 cannot write ") and "No space left on device" in line
    assert line.endswith("what was published before still stands")
    assert rest == first.split(" | ")[1:]  # every file as it was, and nothing beside
    assert again.startswith("published") and "site/two/data/a.csv 200000" in again


def test_a_disk_that_is_read_only_leaves_the_site(workspace, target, tmp_path, own_mounts):
    disk = tmp_path / "disk"
    disk.mkdir()
    lines = said(
        workspace.root, disk / "site",
        'publish(100); show(); mount("--bind", str(target.parent), str(target.parent))\n'
        'mount("-o", "remount,ro,bind", str(target.parent)); print("-"); publish(200); show()\n',
        *own_mounts,
    )  # fmt: skip
    first, after = " | ".join(lines).split(" | - | ")
    line, *rest = after.split(" | ")
    assert line.startswith("4 cannot write ") and "Read-only file system" in line
    assert rest == first.split(" | ")[1:]


def test_a_file_larger_than_the_system_allows_leaves_the_site(workspace, target):
    """Python lets the signal for it pass, so that the write itself fails as on a full disk."""
    lines = said(
        workspace.root, target,
        "publish(100_000); before = {p: p.read_bytes() for p in target.rglob('*.*')"
        " if p.is_file()}\n"
        "resource.setrlimit(resource.RLIMIT_FSIZE, (150_000, 150_000)); publish(200_000)\n"
        "print(before == {p: p.read_bytes() for p in target.rglob('*.*') if p.is_file()})\n"
        "publish(120_000)\n",
    )  # fmt: skip
    assert lines[0] == "published" and lines[2:] == ["True", "published"]
    assert lines[1].startswith("4 cannot write ") and "File too large" in lines[1]
    assert not list(target.parent.glob(".site.*"))


def test_a_file_in_the_place_of_the_folder_above_is_one_line(workspace, folders, quickly, tmp_path):
    (tmp_path / "above").write_text("a file")
    with pytest.raises(OutputError, match=r"cannot write .*above.*(exists|directory)") as caught:
        publish(workspace, folders, tmp_path / "above" / "site", build=quickly)
    assert "\n" not in str(caught.value)
    assert (tmp_path / "above").read_text() == "a file"


def test_a_copy_of_a_killed_publish_does_not_hold_the_target(target):
    code = (
        "import os, sys, time; from pathlib import Path\n"
        "from explainer.publish.exchange import held\n"
        "with held(Path(sys.argv[1])):\n"
        "    os.fork() or os.write(1, b'%d\\n' % os.getpid())\n"
        "    time.sleep(100)\n"
    )
    with subprocess.Popen(
        [sys.executable, "-c", code, str(target)], stdout=subprocess.PIPE, text=True
    ) as other:
        assert other.stdout is not None
        copy = int(other.stdout.readline())
        try:
            with pytest.raises(TargetBusyError), held(target):
                pass
            os.kill(other.pid, signal.SIGKILL)
            other.wait()
            with held(target):
                os.kill(copy, 0)  # it still runs
        finally:
            os.kill(copy, signal.SIGKILL)


def test_a_target_held_by_another_process_is_left_alone_until_that_ends(
    workspace, folders, quickly, target
):
    publish(workspace, folders, target, build=quickly)
    before = {p: p.read_bytes() for p in target.rglob("*") if p.is_file()}
    code = (
        "import sys, time; from pathlib import Path\n"
        "from explainer.publish.manifest import read_manifest\n"
        "from explainer.publish.exchange import held, staged\n"
        "target = Path(sys.argv[1])\n"
        "with held(target), staged(target, read_manifest(target)) as staging:\n"
        "    staging.write('half.html', b'half'); print('held', flush=True); time.sleep(100)\n"
    )
    with subprocess.Popen(
        [sys.executable, "-c", code, str(target)], stdout=subprocess.PIPE, text=True
    ) as other:
        assert other.stdout is not None and other.stdout.readline() == "held\n"
        with pytest.raises(TargetBusyError) as caught:
            publish(workspace, folders, target, build=quickly)
        assert str(caught.value).startswith(f"another publish is writing to {target}")
        assert (target.parent / ".site.explainer-new" / "half.html").read_bytes() == b"half"
        os.kill(other.pid, signal.SIGKILL)
    publish(workspace, folders, target, build=quickly)
    assert {p: p.read_bytes() for p in target.rglob("*") if p.is_file()} == before
    assert sorted(p.name for p in target.parent.iterdir()) == ["home", "site"]
