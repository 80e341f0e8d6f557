"""A computer without Pango: everything but the PDFs is published, and one line says what to get."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import fuzz
import pytest

from explainer.editions.pdf import how_to_get_pango

ROOT = Path(__file__).resolve().parents[2]
#: Takes the place of cffi's door to the system's libraries, and finds Pango behind none.
NO_PANGO = """
import sys, cffi
real = cffi.FFI.dlopen
def dlopen(self, name, flags=0):
    if name and any(part in str(name) for part in ("pango", "gobject", "harfbuzz")):
        raise OSError(f"cannot load library '{name}': not found.  Additionally, tried {name}")
    return real(self, name, flags)
cffi.FFI.dlopen = dlopen
from explainer.cli import main
main(sys.argv[1:])
"""
#: A computer on which WeasyPrint itself did not install.
NO_WEASYPRINT = """
import sys
sys.modules["weasyprint"] = None
from explainer.cli import main
main(sys.argv[1:])
"""


def run(program: str, into: Path, tmp_path: Path) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-c", program, "publish", "three-balls", "--into", str(into)],
        cwd=ROOT, capture_output=True, text=True, check=False,
        env={**os.environ, "EXPLAINER_CACHE": str(tmp_path / "cache")},
    )  # fmt: skip


@pytest.mark.parametrize("program", [NO_PANGO, pytest.param(NO_WEASYPRINT, marks=pytest.mark.slow)])
def test_all_but_the_pdfs_is_published_and_one_line_says_why(program, tmp_path):
    into = tmp_path / "site"
    done = run(program, into, tmp_path)
    assert done.returncode == 0, done.stderr
    made = {p.relative_to(into).as_posix() for p in into.rglob("*") if p.is_file()}
    assert {
        "index.html", "three-balls/index.html", "three-balls/results.json",
        "three-balls/script/script.html", "three-balls/script/captions.vtt",
    } <= made  # fmt: skip
    assert [p for p in made if p.startswith("three-balls/script/stills/")]
    assert [p for p in made if p.startswith("three-balls/cards/")]
    assert not [p for p in made if p.endswith(".pdf")]
    assert ".pdf" not in (into / "three-balls" / "index.html").read_text("utf-8")
    said = [line for line in done.stderr.splitlines() if "Pango" in line]
    assert len(said) == 1
    assert how_to_get_pango() in said[0]
    assert "WeasyPrint could not import" not in done.stdout + done.stderr
    assert "Traceback" not in done.stderr


@pytest.mark.seldom
@pytest.mark.slow
def test_the_pdfs_come_as_soon_as_they_can(tmp_path):
    into = tmp_path / "site"
    assert run(NO_PANGO, into, tmp_path).returncode == 0
    whole = "from explainer.cli import main; import sys; main(sys.argv[1:])"
    done = run(whole, into, tmp_path)
    assert "Pango" not in done.stderr
    assert (into / "three-balls" / "explainer.pdf").read_bytes().startswith(b"%PDF")
    assert "three-balls: unchanged" in run(NO_PANGO, into, tmp_path).stdout


@pytest.mark.parametrize(
    ("system", "linux", "typed"),
    [
        ("linux", ("debian",), "sudo apt install libpango"),
        ("linux", ("mint", "ubuntu", "debian"), "sudo apt install libpango"),
        ("linux", ("fedora",), "sudo dnf install pango"),
        ("linux", ("opensuse-leap", "suse", "opensuse"), "sudo zypper install pango"),
        ("linux", ("unheard-of",), "package manager"),
        ("darwin", (), "brew install pango"),
        ("win32", (), "pacman -S mingw-w64-ucrt-x86_64-pango"),
    ],
)  # fmt: skip
def test_how_to_get_it_is_said_for_this_system(system, linux, typed):
    assert typed in how_to_get_pango(system, linux)


@pytest.mark.seldom
@pytest.mark.slow
def test_a_computer_without_any_font_prints_the_same_letters(tmp_path):
    """No file of the system's font settings, and no font: every letter of a sheet is our own."""
    import pikepdf

    home = tmp_path / "home"
    fuzz._workspace(home)
    with (home / "studies" / "one" / "study.yaml").open("a", encoding="utf-8") as study:
        study.write("editions: [handout]\n")
    empty = tmp_path / "empty"
    empty.mkdir()
    done = subprocess.run(
        [sys.executable, "-m", "explainer", "--workspace", str(home), "publish"],
        cwd=ROOT, capture_output=True, text=True, check=False,
        env={**os.environ, "EXPLAINER_CACHE": str(tmp_path / "cache"), "HOME": str(empty),
             "XDG_CACHE_HOME": str(empty), "FONTCONFIG_FILE": str(tmp_path / "none"),
             "FONTCONFIG_PATH": str(empty)},
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    assert "Traceback" not in done.stderr
    with pikepdf.open(home / "site" / "one" / "handout.pdf") as sheet:
        fonts = {str(thing.get("/BaseFont")) for thing in sheet.objects
                 if isinstance(thing, pikepdf.Dictionary) and thing.get("/Type") == "/Font"}
    assert fonts and all("+Fieldguide-" in font for font in fonts)
