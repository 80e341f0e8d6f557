"""Streams that are closed, full or of another alphabet, signals, and a system that gives little."""

from __future__ import annotations

import io
import json
import os
import signal
import stat
import subprocess
import sys
import time
from contextlib import suppress
from pathlib import Path

import pytest

from explainer.process import as_status

ROOT = Path(__file__).parents[2]
STUDY = """\
title: Covers
question: Does a cover wear?
tested: {each: ball, count: 4}
use: {column: games, term: games rolled, unit: game}
measures: {texture: {term: cover roughness, unit: microinch, matters_from: 6}}
tables: {t: {file: t.csv, source: page 1}}
claims:
  - id: falls
    report_says: "It fell − 🎳."
    test: {kind: change, measure: texture, from: 0, to: 60}
"""


@pytest.fixture(scope="module")
def home(tmp_path_factory) -> Path:
    folder = tmp_path_factory.mktemp("streams") / "home"
    (folder / "studies" / "one").mkdir(parents=True)
    (folder / "studies" / "one" / "study.yaml").write_text(STUDY, "utf-8")
    rows = "\n".join(f"B{i},{g},{70 - g / 3 + i}" for i in range(4) for g in (0, 60))
    (folder / "studies" / "one" / "t.csv").write_text(f"ball,games,texture\n{rows}\n")
    return folder


def shell(home: Path, command: str, **more: str) -> subprocess.CompletedProcess[str]:
    """``command`` in bash, where ``E`` is explainer on the workspace."""
    start = f'E() {{ "{sys.executable}" -m explainer "$@"; }}\n'
    return subprocess.run(
        ["/bin/bash", "-c", start + command], cwd=home, capture_output=True, text=True,
        check=False, env={**os.environ, "PYTHONPATH": str(ROOT), **more},
    )  # fmt: skip


def one_line(said: str) -> str:
    assert said.count("\n") == 1 and said.startswith("explainer: "), said
    assert "fault of explainer" not in said and "Traceback" not in said
    return said


@pytest.mark.parametrize("given", ["9" * 30, "253402300800", "-5", ""])
def test_a_moment_that_is_none_is_a_line(home, given):
    """The moment of reproducible builds: libraries break over it while they are loaded."""
    done = shell(home, "E weigh one", SOURCE_DATE_EPOCH=given)
    assert done.returncode == 2 and not done.stdout
    assert "found SOURCE_DATE_EPOCH=" in one_line(done.stderr)


def test_the_last_moment_there_is_will_do(home):
    done = shell(home, "E weigh one", SOURCE_DATE_EPOCH="253402300799")
    assert done.returncode == 0 and not done.stderr


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no such files here")
@pytest.mark.parametrize("lies", ["a pipe", "a device", "too large"])
@pytest.mark.parametrize("asks", ["FONTCONFIG_FILE", "MATPLOTLIBRC", "the folder of it", "here"])
def test_settings_of_a_library_that_are_no_plain_file_are_told(home, tmp_path, asks, lies):
    """They were read without an end, or waited for: both libraries open whatever lies there."""
    odd = tmp_path / "matplotlibrc"
    if lies == "a pipe":
        os.mkfifo(odd)
    elif lies == "a device":
        odd.symlink_to("/dev/zero")
    else:
        odd.write_text("# \n" * 400_000)
    around = {} if asks == "here" else {asks: str(odd)}
    if asks == "the folder of it":
        around = {"MATPLOTLIBRC": str(tmp_path)}
    stands = tmp_path if asks == "here" else home
    done = shell(home, f"cd {stands} && E --workspace {home} weigh one", **around)
    assert done.returncode == 2
    assert "as a file of settings, expected a plain file of at most" in one_line(done.stderr)


@pytest.mark.parametrize("name", ["MPLCONFIGDIR", "XDG_CACHE_HOME", "XDG_CONFIG_HOME", "TMPDIR"])
@pytest.mark.parametrize("odd", ["/dev/null", "/nowhere/at/all"])
def test_a_place_for_small_files_that_is_none_is_done_without(home, name, odd):
    """And without the drawing library's own lines about it."""
    draw = "-c 'from explainer.charts import stills; print(stills.PLAIN.name)'"
    done = shell(home, f"{sys.executable} {draw}", **{name: odd})
    assert (done.returncode, done.stdout, done.stderr) == (0, "NONE\n", "")


@pytest.mark.parametrize(("what", "where", "why"), [
    ("--help", ">&-", "closed"), ("--version", ">/dev/full", "No space"),
    ("weigh one --json", ">/dev/full", "No space"),
])  # fmt: skip
def test_output_that_takes_nothing_is_a_line_and_status_four(home, what, where, why):
    done = shell(home, f"E {what} {where}")
    assert done.returncode == 4, done.stderr
    assert why in one_line(done.stderr)


@pytest.mark.parametrize(("command", "status"), [
    ("E weigh two 2>/dev/full", 2), ("E weigh two >&- 2>&- <&-", 2),
])  # fmt: skip
def test_where_nobody_can_be_told_the_status_still_tells(home, command, status):
    done = shell(home, command)
    assert (done.returncode, done.stderr) == (status, "")


@pytest.mark.parametrize("command", [
    "E --help", "E proof one --json", "E weigh two 2>&1; true",
])  # fmt: skip
def test_a_reader_that_has_seen_enough_is_no_error(home, command):
    """It closes its end before a word is written, so that nothing depends on who is quicker."""
    done = shell(home, f"{{ sleep 0.5; {command}; echo $? >&3; }} 3>status | true; cat status")
    assert (done.stdout, done.stderr) == ("0\n", "")


@pytest.mark.parametrize("alphabet", ["latin-1", "ascii"])
def test_letters_that_an_alphabet_lacks_are_shown_as_escapes(home, alphabet):
    done = subprocess.run(
        [sys.executable, "-m", "explainer", "weigh", "one"], cwd=home, capture_output=True,
        check=False, env={**os.environ, "PYTHONPATH": str(ROOT), "PYTHONIOENCODING": alphabet},
    )  # fmt: skip
    assert (done.returncode, done.stderr) == (0, b"")
    if alphabet == "latin-1":
        assert b"\\u2212" in done.stdout and "🎳".encode() not in done.stdout


def test_numbers_for_machines_are_sound_in_any_alphabet(monkeypatch):
    from explainer import cli

    written = io.BytesIO()
    monkeypatch.setattr(sys, "stdout", io.TextIOWrapper(written, "latin-1", "backslashreplace"))
    cli._say_json({"says": "It fell − 🎳 é \x1b[31m \u202e \x9b \U000e0001"})
    sys.stdout.flush()
    text = written.getvalue().decode("latin-1")
    assert json.loads(text) == {"says": "It fell − 🎳 é \x1b[31m \u202e \x9b \U000e0001"}
    assert all(c.isprintable() or c == "\n" for c in text)


def ended(home: Path, number: int) -> tuple[int, str, list[str]]:
    """Status and words of a publish that got a signal, and what lies beside the site."""
    code = (
        "import sys, time; from explainer.publish import site\n"
        "def slow(folder, workspace): print('at it', flush=True); time.sleep(60)\n"
        "site.from_folder = slow\n"
        "from explainer.cli import main; main(sys.argv[1:])\n"
    )
    with subprocess.Popen(
        [sys.executable, "-c", code, "publish", "one", "--into", "signal/site", "--workers", "1"],
        cwd=home, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
    ) as process:  # fmt: skip
        assert process.stdout is not None and process.stdout.readline() == "at it\n"
        assert (home / "signal" / ".site.explainer-lock").exists()
        process.send_signal(number)
        _, said = process.communicate(timeout=300)
    return process.returncode, said, [p.name for p in (home / "signal").iterdir()]


@pytest.mark.parametrize(("number", "words"), [
    (signal.SIGINT, "Ctrl-C"), (signal.SIGTERM, "a request to terminate"),
    (signal.SIGHUP, "a hang-up"),
])  # fmt: skip
def test_a_publish_that_is_asked_to_end_says_so_and_leaves_nothing(home, number, words):
    status, said, left = ended(home, number)
    assert status == 128 + number
    assert f"ended by {words}; a site that was being published is whole" in one_line(said)
    assert left == []


@pytest.mark.parametrize("raised", [None, ValueError("a callback failed")])
def test_a_request_to_end_is_told_though_a_library_swallows_it(capsys, raised):
    def command():
        with suppress(BaseException):
            os.kill(os.getpid(), signal.SIGTERM)
            time.sleep(5)
        if raised:
            raise raised

    assert as_status(command, debug=False) == 128 + signal.SIGTERM
    assert "ended by a request to terminate" in one_line(capsys.readouterr().err)
    assert signal.getsignal(signal.SIGTERM) is signal.SIG_DFL  # as it was


def test_a_hang_up_that_is_to_be_ignored_is_ignored(home):
    done = shell(home, "nohup bash -c 'kill -HUP $$; exit 0' >/dev/null; "
                       f"nohup \"{sys.executable}\" -m explainer define oil >out.txt 2>/dev/null & "
                       "sleep 0.2; kill -HUP $!; wait $!; echo $?")  # fmt: skip
    assert done.stdout.endswith("0\n")
    assert (home / "out.txt").read_text().startswith("lane oil")


@pytest.mark.parametrize("command", ["proof", "draft x"])
def test_a_folder_that_is_gone_is_said(home, tmp_path, command):
    gone = tmp_path / "gone"
    gone.mkdir()
    done = shell(home, f'cd "{gone}"; rmdir "{gone}"; E {command}')
    assert done.returncode == 2
    assert "the folder you stand in is gone" in one_line(done.stderr)


REFUSALS = [
    (PermissionError(13, "Permission denied", "/x/studies"), 2, "/x/studies: permission denied"),
    (OSError(5, "Input/output error", "/x"), 4, "input/output error (/x)"),
    (OSError(24, "Too many open files"), 4, "too many open files"),
    (OSError(12, "Cannot allocate memory"), 4, "too little memory"), (MemoryError(), 4, "memory"),
    (RuntimeError("can't start new thread"), 4, "too little memory"),
    (ImportError("x.so: failed to map segment from shared object"), 4, "too little memory"),
]  # fmt: skip


@pytest.mark.parametrize(("fault", "status", "words"), REFUSALS, ids=lambda v: str(v)[:30])
@pytest.mark.parametrize("command", ["proof", "publish", "rehearse"])
def test_what_the_system_refuses_is_told_as_such(
    home, monkeypatch, capsys, fault, status, words, command
):
    from explainer import cli

    def refuses(options):
        raise fault

    monkeypatch.setattr(cli, "_root", refuses)
    with pytest.raises(SystemExit) as ended:
        cli.main(["--workspace", str(home), command])
    assert ended.value.code == status
    assert words in one_line(capsys.readouterr().err)


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="other systems limit otherwise")
@pytest.mark.parametrize("kilobytes", [160_000, 180_000, 250_000])
def test_a_small_address_space_is_a_line_and_no_endless_loop(home, kilobytes):
    """OpenBLAS asks for its first block for ever where it cannot have it, deaf to signals."""
    command = f"ulimit -v {kilobytes}; timeout -s KILL 60 {sys.executable} -m explainer proof one"
    done = shell(home, command)
    assert done.returncode == 4 and "too little memory" in one_line(done.stderr)


NAMES = [
    "a\x1b[31mb", "a\x1b]0;owned\x07", "a\u202eb", "a\nb", "a\rb", "a\x9b2Jb", "a\u2066b",
    "a\x7fb",
]  # fmt: skip


@pytest.mark.parametrize("name", NAMES, ids=ascii)
@pytest.mark.parametrize("command", ["proof", "weigh NAME", "proof --json"])
def test_no_name_of_a_folder_steers_the_terminal(tmp_path, capsys, monkeypatch, name, command):
    from explainer.cli import main

    monkeypatch.chdir(tmp_path)
    for folder in (f"{name} 1", f"{name} 2"):
        (tmp_path / "studies" / folder).mkdir(parents=True)
        (tmp_path / "studies" / folder / "study.yaml").write_text("title: [\n")
    with pytest.raises(SystemExit):
        main([part.replace("NAME", f"{name} 1") for part in command.split()])
    said = capsys.readouterr()
    lines = (said.out + said.err).split("\n")
    assert any(lines) and all(line.isprintable() for line in lines), lines


@pytest.mark.parametrize(("mask", "made"), [(0o777, 0o700), (0o700, 0o777), (0o027, 0o750)])
def test_what_we_make_is_ours_to_read_whatever_mask_was_given(tmp_path, mask, made):
    before = os.umask(mask)
    try:
        assert as_status(lambda: (tmp_path / "site").mkdir(), debug=True) == 0
        assert os.umask(before) == mask  # as it was, for whoever called us
    finally:
        os.umask(before)
    assert stat.S_IMODE((tmp_path / "site").stat().st_mode) == made
