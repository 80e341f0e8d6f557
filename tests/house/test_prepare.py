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
    (tmp_path / ".venv").mkdir()
    (tmp_path / ".venv" / "bin").symlink_to(bin_)
    for name in ("id", "env", "touch", "test"):
        (bin_ / name).symlink_to(shutil.which(name))

    def run(**commands: str) -> tuple[str, list[str]]:
        for name, script in commands.items():
            file = bin_ / name.replace("_", "-")
            file.write_text(f"#!/bin/sh\n{script}\n")
            file.chmod(0o755)
        shell = (
            f'. {ROOT}/.prepare.sh; test_browser; echo "left out: ${{EXPLAINER_NO_BROWSER:-no}}"'
        )
        done = subprocess.run(
            ["/bin/sh", "-eu", "-c", shell],
            capture_output=True, text=True, check=True, cwd=tmp_path, env={"PATH": str(bin_)},
        )  # fmt: skip
        run.complaints = done.stderr
        *said, out = done.stdout.splitlines()
        return out.removeprefix("left out: "), said

    return run


def test_a_browser_that_opens_is_taken(machine):
    assert machine(python="exit 0") == ("no", [])
    assert machine.complaints == ""


def test_one_that_can_be_had_is_installed(machine):
    install = 'case "$*" in *"install -y"*chromium*) touch installed;; esac'
    out, said = machine(python="test -e installed", apt_get=install, sudo='shift; exec "$@"')
    assert out == "no"
    assert len(said) == 1 and "apt-get install chromium" in said[0]


@pytest.mark.parametrize("apt", ["echo no network >&2; exit 100", "exit 0"])
def test_one_that_cannot_be_had_or_does_not_open_stops_nothing(machine, apt):
    out, said = machine(python="exit 1", apt_get=apt, sudo='shift; exec "$@"')
    assert out == "1"
    assert (
        "sudo apt-get install chromium" in said[-1] and "leaving the browser tests out" in said[-1]
    )
    # What a package manager said of why it failed is shown, and nothing of its chatter else.
    assert machine.complaints == ("no network\n" if "no network" in apt else "")


def without(*lacking: str) -> str:
    """A python3 that does not find what is named in its program."""
    tests = "".join(f'*"{what}"*) exit 1;; ' for what in lacking)
    return f'case "$*" in {tests}esac; exit 0'


@pytest.mark.parametrize(("lacking", "status"), [(("ctypes",), 0), (("venv",), 1), ((), 0)])
def test_without_pango_it_goes_on_and_without_venv_it_stops(lacking, status, tmp_path):
    python = tmp_path / "python3"
    python.write_text(f"#!/bin/sh\n{without(*lacking)}\n")
    python.chmod(0o755)
    (tmp_path / "id").write_text("#!/bin/sh\necho 1000\n")
    (tmp_path / "id").chmod(0o755)
    done = subprocess.run(
        ["/bin/sh", "-eu", "-c", f". {ROOT}/.prepare.sh; system_packages; echo went on"],
        capture_output=True, text=True, check=False, env={"PATH": str(tmp_path)},
    )  # fmt: skip
    assert done.returncode == status
    assert ("went on" in done.stdout) == (status == 0)
    assert ("no PDFs will be made" in done.stdout) == (lacking == ("ctypes",))
    assert ("sudo apt-get install python3-venv" in done.stderr) == (lacking == ("venv",))


def test_without_a_package_manager_or_the_right_to_use_it_nothing_stops_either(machine):
    assert machine(python="exit 1")[0] == "1"
    assert machine(apt_get="exit 0", sudo="exit 1")[0] == "1"


def test_left_out_on_purpose_nothing_is_tried():
    shell = f". {ROOT}/.prepare.sh; EXPLAINER_NO_BROWSER=1; test_browser"
    done = subprocess.run(
        ["/bin/sh", "-eu", "-c", shell],
        capture_output=True, text=True, check=True, env={"PATH": os.devnull},
    )  # fmt: skip
    assert done.stdout == done.stderr == ""
