"""What lies in the folder one is in, or where our own small files go, may be a stranger's."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from explainer.draft.folder import SCHEMA, write_schema
from explainer.errors import OutputError
from explainer.publish.exchange import beside, held
from explainer.room.server import _title

DRAWN = """
from explainer.charts import stills
from explainer.charts.display_list import DisplayList
plate = DisplayList(300.0, 200.0)
plate.line([(20, 20), (280, 180)], "ink", 2.0)
plate.text(40, 60, "hook", 12.0, "ink")
import hashlib; print(hashlib.sha256(stills.png(plate)).hexdigest())
"""


def drawn_in(folder: Path) -> str:
    """The hash of a still that is drawn by a process standing in ``folder``."""
    done = subprocess.run(
        [sys.executable, "-c", DRAWN], cwd=folder, capture_output=True, text=True, check=True,
        env={**os.environ, "PYTHONPATH": str(Path(__file__).parents[3])},
    )  # fmt: skip
    return done.stdout.strip()


def test_drawing_settings_of_the_folder_one_is_in_are_not_obeyed(tmp_path: Path) -> None:
    """They could have every letter set by TeX, with a preamble of theirs, or bend the lines."""
    plain, theirs = tmp_path / "plain", tmp_path / "theirs"
    plain.mkdir()
    theirs.mkdir()
    (theirs / "matplotlibrc").write_text(
        "text.usetex: True\ntext.latex.preamble: \\openin1=outside\npath.sketch: 60, 100, 2\n"
    )
    assert drawn_in(theirs) == drawn_in(plain)


@pytest.mark.skipif(not hasattr(os, "O_NOFOLLOW"), reason="links are not followed so here")
def test_a_link_where_the_lock_goes_makes_no_file_elsewhere(tmp_path: Path) -> None:
    outside, target = tmp_path / "outside", tmp_path / "work" / "site"
    target.parent.mkdir()
    beside(target, "lock").symlink_to(outside)
    with pytest.raises(OutputError), held(target):
        pytest.fail("held through a link")
    assert not outside.exists()


@pytest.mark.parametrize("kind", ["link", "pipe", "endless"])
def test_the_workrooms_list_reads_no_title_from_elsewhere(kind: str, tmp_path: Path) -> None:
    folder, outside = tmp_path / "one", tmp_path / "outside.yaml"
    folder.mkdir()
    outside.write_text("title: Told nobody\n")
    if kind == "pipe":
        os.mkfifo(folder / "study.yaml")
    else:
        (folder / "study.yaml").symlink_to(outside if kind == "link" else "/dev/zero")
    assert _title(folder) == "one"


def test_the_schema_takes_a_pipes_place_and_leaves_a_second_name_alone(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / SCHEMA)
    write_schema(tmp_path)
    known = (tmp_path / SCHEMA).read_bytes()
    assert known.startswith(b"{")
    (tmp_path / SCHEMA).unlink()
    theirs = tmp_path / "theirs.txt"
    theirs.write_text("mine")
    os.link(theirs, tmp_path / SCHEMA)
    write_schema(tmp_path)
    assert theirs.read_text() == "mine"
    assert (tmp_path / SCHEMA).read_bytes() == known


#: What starts a Python of its own: workers for several studies, and the reader of a report.
STARTED = {
    "workers": "import operator; from explainer.publish.workers import build_all; "
               "print(len(list(build_all({'a': 1, 'b': 2}, None, 2, operator.is_))))",
    "lift": "from explainer.lift.bounded import _Child\n"
            "with _Child({'do': 'all', 'path': 'explainer.py', 'pages': []}) as child: "
            "print(child.next(60))",
}  # fmt: skip


@pytest.mark.parametrize("what", STARTED)
def test_no_module_of_the_folder_one_is_in_is_run(what: str, tmp_path: Path) -> None:
    """Python looks in that folder first when it starts Python, whatever the parent's path says."""
    for name in ("multiprocessing", "explainer", "json", "socket"):
        (tmp_path / f"{name}.py").write_text("open('ran', 'w').close()\n")
    # As an installed command: neither this folder on the path, nor Python told to be careful.
    code = f"import sys; del sys.path[0]\n{STARTED[what]}"
    around = {name: at for name, at in os.environ.items() if name != "PYTHONSAFEPATH"}
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=tmp_path, capture_output=True, text=True, check=False,
        env={**around, "PYTHONPATH": str(Path(__file__).parents[3])}, timeout=120,
    )  # fmt: skip
    assert not (tmp_path / "ran").exists(), done.stderr
    assert ("broken or no PDF" if what == "lift" else "2\n") in done.stdout, done.stderr


def test_python_dash_m_leaves_the_folder_one_is_in_out(tmp_path: Path) -> None:
    """But for a file that bears our own name, which Python runs before anything of ours."""
    (tmp_path / "click.py").write_text("open('ran', 'w').close()\n")
    done = subprocess.run(
        [sys.executable, "-m", "explainer", "--version"], cwd=tmp_path, capture_output=True,
        text=True, check=False, env={**os.environ, "PYTHONPATH": str(Path(__file__).parents[3])},
    )  # fmt: skip
    assert not (tmp_path / "ran").exists()
    assert (done.returncode, done.stderr) == (0, "")


@pytest.mark.parametrize("path", ["{}:", ":{}", ".:{}", "{}::"])
def test_a_path_that_names_the_folder_one_is_in_leaves_it_out_too(
    path: str, tmp_path: Path
) -> None:
    """As ``PYTHONPATH=$PYTHONPATH:/x`` does where there was none."""
    for name in ("click", "yaml", "jinja2", "pandas"):
        (tmp_path / f"{name}.py").write_text("open('ran', 'w').close()\n")
    at = path.format(Path(__file__).parents[3]).replace(":", os.pathsep)
    code = "import sys; del sys.path[0]; from explainer.cli import main; main(['--version'])"
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=tmp_path, capture_output=True, text=True, check=False,
        env={k: v for k, v in os.environ.items() if k != "PYTHONSAFEPATH"} | {"PYTHONPATH": at},
    )  # fmt: skip
    assert not (tmp_path / "ran").exists()
    assert (done.returncode, done.stderr) == (0, "")
