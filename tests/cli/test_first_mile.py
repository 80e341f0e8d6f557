"""Where somebody begins: an empty folder, a first draft, and the page without a terminal."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import urllib.request
from pathlib import Path

import pytest
from started import started

from explainer.study.description.study import schema_text

ROOT = Path(__file__).resolve().parents[2]


def run(*arguments: str, cwd: Path) -> subprocess.CompletedProcess[str]:
    return started(*arguments, cwd=cwd, env={**os.environ, "COLUMNS": "80"})


def test_a_folder_without_a_study_says_what_to_type(tmp_path):
    (tmp_path / "studies").mkdir()
    for command in ("proof", "publish"):
        done = run(command, cwd=tmp_path)
        assert done.returncode == 2
        [line] = done.stderr.splitlines()
        assert "explainer draft NAME --from FILE.csv" in line
        assert "explainer alone" in line


def test_the_schema_stands_beside_the_first_draft_and_is_renewed(tmp_path):
    assert run("draft", "first", "--like", "season", cwd=tmp_path).returncode == 0
    schema = tmp_path / "studies" / "study.schema.json"
    assert schema.read_text("utf-8") == schema_text()
    first = (tmp_path / "studies" / "first" / "study.yaml").read_text("utf-8").splitlines()[0]
    assert first == "# yaml-language-server: $schema=../study.schema.json"
    schema.write_text("an old one", "utf-8")
    assert run("draft", "second", "--like", "rates", cwd=tmp_path).returncode == 0
    assert schema.read_text("utf-8") == schema_text()
    assert "sound" in run("proof", "first", cwd=tmp_path).stdout


@pytest.mark.parametrize("arguments", [(), ("open", "--port", "0", "--no-browser")])
def test_without_a_command_the_workroom_opens(arguments, tmp_path):
    running = subprocess.Popen(
        [sys.executable, "-u", "-m", "explainer", *arguments], cwd=tmp_path, text=True,
        stdout=subprocess.PIPE, stderr=subprocess.PIPE,
        env={**os.environ, "PYTHONPATH": str(ROOT), "BROWSER": "true"},
    )  # fmt: skip
    assert running.stdout is not None
    line = running.stdout.readline()
    address = next(word for word in line.split() if word.startswith("http://127.0.0.1:"))
    with urllib.request.urlopen(address, timeout=300) as answer:
        assert "From your sheets to a page" in answer.read().decode()
    running.send_signal(signal.SIGINT)
    out, err = running.communicate(timeout=300)
    assert running.returncode == 0, err
    assert "workroom closed" in out
    assert list(tmp_path.iterdir()) == []  # it was looked at, and nothing was written
