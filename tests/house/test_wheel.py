"""The built wheel, installed outside the repository in its own environment, publishes a study."""

from __future__ import annotations

import shutil
import subprocess
import sys
import venv
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]


def run(*command: str | Path, cwd: Path) -> str:
    done = subprocess.run(
        [str(c) for c in command], cwd=cwd, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


@pytest.mark.slow
def test_an_installed_copy_works_anywhere(tmp_path: Path) -> None:
    wheels = tmp_path / "wheels"
    run(sys.executable, "-m", "build", "--wheel", "--no-isolation", "--outdir", wheels, cwd=ROOT)
    (wheel,) = wheels.glob("*.whl")
    home = tmp_path / "environment"
    venv.create(home, with_pip=True)
    python = home / "bin" / "python"
    # The libraries come from the tests' environment; explainer itself only from the wheel.
    libraries = next(p for p in map(Path, sys.path) if p.name == "site-packages" and p.is_dir())
    inside = next((home / "lib").glob("python*")) / "site-packages"
    (inside / "libraries.pth").write_text(f"{libraries}\n", encoding="utf-8")
    run(python, "-m", "pip", "install", "-q", "--no-deps", "--no-index", wheel, cwd=tmp_path)
    place = run(python, "-c", "import explainer; print(explainer.__file__)", cwd=tmp_path)
    assert Path(place.strip()).is_relative_to(home)

    workspace = tmp_path / "workspace"
    shutil.copytree(ROOT / "studies" / "three-balls", workspace / "studies" / "three-balls")
    run(home / "bin" / "explainer", "publish", "--into", "site", cwd=workspace)
    page = workspace / "site" / "three-balls" / "index.html"
    assert "Three old balls, three new ones" in page.read_text(encoding="utf-8")
    assert (workspace / "site" / "three-balls" / "explainer.pdf").read_bytes()[:5] == b"%PDF-"
    shown = run(home / "bin" / "explainer", "define", "total hook", cwd=workspace)
    assert "hook" in shown
