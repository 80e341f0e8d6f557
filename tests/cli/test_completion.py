"""Completion in the shell, as the shell asks for it."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from explainer.publish.commands import COMMANDS, COMPLETION


def asked(words: str, cwd: Path, shell: str = "bash") -> list[str]:
    """What is offered for the last of ``words``."""
    done = subprocess.run(
        [sys.executable, "-m", "explainer"], cwd=cwd, capture_output=True, text=True, check=False,
        env={**os.environ, "_EXPLAINER_COMPLETE": f"{shell}_complete", "COMP_WORDS": words,
             "COMP_CWORD": str(len(words.split(" ")) - 1)},
    )  # fmt: skip
    assert done.stderr == ""
    return [line.split(",", 1)[-1] for line in done.stdout.splitlines() if line]


@pytest.fixture
def workspace(tmp_path) -> Path:
    for name in ("cover-texture", "covers-old", "shots"):
        (tmp_path / "studies" / name).mkdir(parents=True)
        (tmp_path / "studies" / name / "study.yaml").write_text("title: x")
    return tmp_path


@pytest.mark.parametrize(
    ("words", "offered"),
    [
        ("explainer ", sorted(c.name for c in COMMANDS)),
        ("explainer re", ["rehearse"]),
        ("explainer proof cov", ["cover-texture", "covers-old"]),
        ("explainer weigh sh", ["shots"]),
        ("explainer publish cover-texture sh", ["shots"]),
        ("explainer draft new --like ga", ["gauge-check"]),
        ("explainer proof --j", ["--json"]),
    ],
)
def test_what_is_offered(words, offered, workspace):
    assert sorted(asked(words, workspace)) == offered


def test_terms_of_the_glossary_are_offered(workspace):
    assert "total hook" in asked("explainer define total", workspace)


def test_a_workspace_at_fault_offers_nothing(workspace):
    (workspace / "studies" / "settings.yaml").write_text("title: [")
    assert asked("explainer proof cov", workspace) == []


@pytest.mark.parametrize(("shell", "file", "line"), COMPLETION)
def test_the_documented_line_gives_a_script_for_each_shell(shell, file, line, workspace):
    assert f"_EXPLAINER_COMPLETE={shell}_source explainer" in line
    done = subprocess.run(
        [sys.executable, "-m", "explainer"], cwd=workspace, capture_output=True, text=True,
        check=True, env={**os.environ, "_EXPLAINER_COMPLETE": f"{shell}_source"},
    )  # fmt: skip
    assert "_EXPLAINER_COMPLETE" in done.stdout
    if shell == "bash":
        syntax = ["bash", "-n", "-c", done.stdout]
        assert subprocess.run(syntax, capture_output=True, check=False).returncode == 0
