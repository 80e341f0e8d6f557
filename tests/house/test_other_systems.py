"""Windows and other computers, as far as they can be had here: what they lack is taken away.

No fork, no folder that opens like a file, no exchange of two names, none of the flags that Linux
opens files with, another lock, consoles of few letters, other line ends, names whose case does not
count, drive letters.  What is published must be the same, byte for byte.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from functools import cache
from pathlib import Path

import pytest

from explainer.draft.folder import new_folder
from explainer.errors import UsageError
from explainer.study.files import FileFault, read_file

ROOT = Path(__file__).resolve().parents[2]
#: Takes away what Windows has not, before anything of ours is loaded.
LIKE_WINDOWS = """
import ctypes, os, sys, types
import concurrent.futures.process, multiprocessing, subprocess, tempfile, shutil, watchfiles
for name in ("fork", "register_at_fork", "O_NOFOLLOW", "O_NONBLOCK", "O_DIRECTORY",
             "sched_getaffinity", "getuid", "geteuid"):
    if hasattr(os, name):
        delattr(os, name)
os.supports_follow_symlinks.discard(os.link)
link = os.link
os.link = lambda a, b: link(a, b)
opened = os.open
def no_folders(path, *more, **named):
    if not isinstance(path, int) and os.path.isdir(path):
        raise PermissionError(13, "a folder", str(path))
    return opened(path, *more, **named)
os.open = no_folders
renamed = os.rename
def not_over(a, b, **named):
    if os.path.lexists(b):
        raise FileExistsError(17, "it is there already", str(a))
    return renamed(a, b, **named)
os.rename = not_over
library = ctypes.CDLL
def by_name(name, *more, **named):
    if name is None:
        raise TypeError("LoadLibrary() argument 1 must be str, not None")
    return library(name, *more, **named)
ctypes.CDLL = by_name
locked = []
sys.modules["msvcrt"] = types.SimpleNamespace(
    LK_NBLCK=2, locking=lambda handle, way, count: locked.append(handle))
sys.modules["fcntl"] = None
sys.platform, real = "win32", sys.platform
import explainer.publish.exchange
sys.platform = real
from explainer.cli import main
try:
    main(sys.argv[1:])
finally:
    if "publish" in sys.argv:
        assert locked, "nothing was locked"
"""


def run(*arguments: str, cwd: Path, program: str = "", **changes: str):
    start = ["-c", program] if program else ["-m", "explainer"]
    return subprocess.run(
        [sys.executable, "-X", "warn_default_encoding", "-W", "ignore", "-W",
         "error::EncodingWarning:explainer", *start, *arguments],
        cwd=cwd, capture_output=True, check=False,
        env={**os.environ, "PYTHONPATH": str(ROOT), "COLUMNS": "80", **changes},
    )  # fmt: skip


def copied(tmp_path: Path, ends: str) -> Path:
    """A workspace with one small example, with these line ends throughout."""
    root = tmp_path / ("crlf" if ends == "\r\n" else "lf")
    shutil.copytree(ROOT / "studies" / "three-balls", root / "studies" / "three-balls")
    shutil.copy(ROOT / "studies" / "settings.yaml", root / "studies")
    for file in (root / "studies").rglob("*.*"):
        data = file.read_bytes().replace(b"\r\n", b"\n")
        file.write_bytes(data.replace(b"\n", ends.encode()))
    return root


def site(root: Path) -> dict[str, bytes]:
    found = {p.relative_to(root).as_posix(): p.read_bytes() for p in root.rglob("*") if p.is_file()}
    return {name: data for name, data in found.items() if not name.startswith(".explainer")}


@pytest.mark.seldom
def test_a_computer_like_windows_publishes_the_same_bytes(tmp_path):
    root = copied(tmp_path, "\n")
    given = ("publish", "--edition", "handout", "--quiet")
    here = run(*given, "--into", "here", cwd=root, EXPLAINER_CACHE=str(tmp_path / "a"))
    assert here.returncode == 0, here.stderr
    for _ in range(2):  # once anew, and once over the old site
        there = run(*given, "--into", "there", cwd=root, program=LIKE_WINDOWS,
                    EXPLAINER_CACHE=str(tmp_path / "b"))  # fmt: skip
        assert there.returncode == 0, there.stderr
        assert site(root / "there") == site(root / "here")
        shutil.rmtree(tmp_path / "b", ignore_errors=True)
    left = [p.name for p in root.iterdir() if "explainer" in p.name and "lock" not in p.name]
    assert left == []


def test_a_computer_like_windows_drafts_and_proofreads(tmp_path):
    sheets = sorted(map(str, (ROOT / "studies/cover-texture/originals").glob("*.csv")))
    done = run("draft", "worn", "--from", *sheets, cwd=tmp_path, program=LIKE_WINDOWS)
    assert done.returncode == 0, done.stderr
    done = run("proof", "worn", cwd=tmp_path, program=LIKE_WINDOWS)
    assert done.returncode == 0, done.stderr
    assert b"sound" in done.stdout


def test_line_ends_of_either_kind_say_the_same(tmp_path):
    said = [run("weigh", "three-balls", cwd=copied(tmp_path, ends)) for ends in ("\n", "\r\n")]
    assert [done.returncode for done in said] == [0, 0], said[1].stderr
    assert said[0].stdout == said[1].stdout


@cache
def in_utf_8(command: tuple[str, ...]) -> subprocess.CompletedProcess[bytes]:
    return run(*command, cwd=ROOT, PYTHONIOENCODING="utf-8")


@pytest.mark.parametrize("coding", ["cp1252", "cp437", "utf-16"])
@pytest.mark.parametrize("command", [("weigh", "three-balls"), ("define", "ra"), ("--help",),
                                     ("proof", "no-such-study")])  # fmt: skip
def test_a_console_of_any_letters_shows_what_it_can(coding, command):
    done, plain = run(*command, cwd=ROOT, PYTHONIOENCODING=coding), in_utf_8(command)
    assert done.returncode == plain.returncode
    for mine, theirs in ((done.stdout, plain.stdout), (done.stderr, plain.stderr)):
        said, meant = mine.decode(coding), theirs.decode("utf-8")
        # A letter the console lacks is written as an escape, and every other as it is.
        assert said == meant.encode(coding, "backslashreplace").decode(coding)
        assert "Traceback" not in said
        if coding == "utf-16":
            assert said == meant


def test_a_locale_of_no_letters_reads_and_writes_the_same(tmp_path):
    root = copied(tmp_path, "\n")
    plain = run("weigh", "three-balls", "--json", cwd=root, PYTHONUTF8="1")
    bare = run("weigh", "three-balls", "--json", cwd=root, LC_ALL="C", PYTHONUTF8="0",
               PYTHONCOERCECLOCALE="0", PYTHONIOENCODING="utf-8")  # fmt: skip
    assert bare.returncode == 0, bare.stderr
    assert bare.stdout == plain.stdout


@pytest.mark.parametrize(
    "name", ["C:shots.csv", "C:\\shots.csv", "..\\shots.csv", "\\\\host\\share\\shots.csv",
             "sub\\shots.csv", "sub/shots.csv"],
)  # fmt: skip
def test_a_path_of_either_system_is_no_name_of_a_file(name, tmp_path):
    (tmp_path / "shots.csv").write_text("ball\nP1\n", "utf-8")
    with pytest.raises(FileFault) as fault:
        read_file(tmp_path, name, 1000)
    assert fault.value.code == "path"


def test_a_name_that_differs_in_case_is_refused_on_every_computer(tmp_path):
    (tmp_path / "Shots.csv").write_text("ball\nP1\n", "utf-8")
    with pytest.raises(FileFault) as fault:
        read_file(tmp_path, "shots.csv", 1000)
    assert fault.value.hint == "capital letters count"


@pytest.mark.parametrize("name", ["con", "nul", "com1", "lpt9", "aux", "prn"])
def test_names_that_windows_keeps_for_itself_name_no_study(name, tmp_path):
    with pytest.raises(UsageError, match="Windows keeps that name"):
        new_folder(name, tmp_path)
    assert new_folder(f"{name}-1", tmp_path).name == f"{name}-1"
