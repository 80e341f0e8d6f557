"""A machine without a browser still runs every other test, and is told what it lacks."""

from __future__ import annotations

import os
import shutil
import subprocess
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture
def machine(tmp_path):
    """Runs the preparing script's browser step on a machine with these commands and no others."""
    bin_ = tmp_path / "bin"
    bin_.mkdir()
    for name in ("id", "env", "touch", "chmod"):
        (bin_ / name).symlink_to(shutil.which(name))

    def run(named: str = "", **commands: str) -> tuple[str, list[str]]:
        for name, script in commands.items():
            file = bin_ / name.replace("_", "-")
            file.write_text(f"#!/bin/sh\n{script}\n")
            file.chmod(0o755)
        shell = (
            f'. {ROOT}/.prepare.sh; test_browser; echo "left out: ${{EXPLAINER_NO_BROWSER:-no}}"'
        )
        environment = {"PATH": str(bin_)} | ({"EXPLAINER_CHROMIUM": named} if named else {})
        done = subprocess.run(
            ["/bin/sh", "-eu", "-c", shell],
            capture_output=True, text=True, check=True, env=environment,
        )  # fmt: skip
        assert done.stderr == ""
        *said, out = done.stdout.splitlines()
        return out.removeprefix("left out: "), said

    return run


def test_a_browser_that_is_there_is_taken(machine):
    assert machine(chromium="exit 0") == ("no", [])


def test_a_browser_with_another_name_can_be_pointed_out(machine, tmp_path):
    machine(chrome="exit 0")
    assert machine(named=str(tmp_path / "bin" / "chrome")) == ("no", [])


def test_one_that_can_be_had_is_installed(machine, tmp_path):
    place = tmp_path / "bin" / "chromium"
    install = f'case "$*" in *"install -y"*chromium) touch {place}; chmod +x {place};; esac'
    out, said = machine(apt_get=install, sudo='shift; exec "$@"')
    assert out == "no"
    assert len(said) == 1 and "installing it" in said[0]


def test_one_that_cannot_be_had_stops_nothing(machine):
    out, said = machine(apt_get="echo no network >&2; exit 100", sudo="exit 1")
    assert out == "1"
    assert (
        "sudo apt-get install chromium" in said[-1] and "leaving the browser tests out" in said[-1]
    )


def test_without_a_package_manager_nothing_stops_either(machine):
    assert machine()[0] == "1"


def test_left_out_on_purpose_nothing_is_installed():
    shell = f". {ROOT}/.prepare.sh; EXPLAINER_NO_BROWSER=1; test_browser"
    done = subprocess.run(
        ["/bin/sh", "-eu", "-c", shell],
        capture_output=True, text=True, check=True, env={"PATH": os.devnull},
    )  # fmt: skip
    assert done.stdout == done.stderr == ""
