"""The same inputs give the same bytes: other hash seed, time zone, locale and date."""

from __future__ import annotations

import ast
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

#: Builds one study with the clock moved, and prints the hash of each file.
CODE = """
import datetime, hashlib, locale, sys, time

moved = float(sys.argv[2])
real, plain = time.time, datetime.datetime
time.time = lambda: real() + moved
time.time_ns = lambda: int((real() + moved) * 1e9)

class Moved(plain):
    @classmethod
    def now(cls, tz=None):
        return plain.fromtimestamp(time.time(), tz)

    @classmethod
    def utcnow(cls):
        return plain.fromtimestamp(time.time(), datetime.timezone.utc).replace(tzinfo=None)

from explainer.publish.build import build_study  # with all it needs
from explainer.publish.workers import from_folder
from explainer.study.load import find_study
# After the import: pandas and pydantic compare against the real class while they load.
datetime.datetime = Moved
for name, module in list(sys.modules.items()):
    writes = name.split(".")[0] in ("explainer", "weasyprint", "pydyf", "matplotlib", "PIL")
    if writes and getattr(module, "datetime", None) is plain:
        module.datetime = Moved
workspace, folder = find_study(sys.argv[1])
for path, content in sorted(from_folder(folder, workspace).files.items()):
    print(hashlib.sha256(content).hexdigest(), path)
print(datetime.datetime.now().year - plain.now().year, "years", file=sys.stderr)
# Python takes letters from the user's locale and nothing else; no library here may ask for more,
# since with a decimal comma the library that sets type in PDFs reads its numbers otherwise.
print(locale.setlocale(locale.LC_CTYPE), locale.localeconv()["decimal_point"], file=sys.stderr)
"""


def hashes(study: str, moved: float, **environment: str) -> tuple[list[str], str]:
    done = subprocess.run(
        [sys.executable, "-c", CODE, study, str(moved)], capture_output=True, text=True,
        cwd=Path(__file__).parents[2], env={**os.environ, **environment}, check=True,
    )  # fmt: skip
    return done.stdout.splitlines(), done.stderr


def made(name: str, folder: Path) -> dict[str, str]:
    """What to set so that a locale is there that the system does not have.

    Python decodes what the environment says with the locale, so one of UTF-8 is made.
    """
    done = subprocess.run(
        ["localedef", "-i", name, "-f", "UTF-8", "--no-archive", str(folder / f"{name}.UTF-8")],
        capture_output=True, text=True,
    )  # fmt: skip
    found = (folder / f"{name}.UTF-8" / "LC_NUMERIC").exists()
    assert found, done.stderr
    return {"LOCPATH": str(folder), "LC_ALL": f"{name}.UTF-8"}


@pytest.mark.slow
def test_processes_in_other_circumstances_make_the_same_files(tmp_path):
    """Hash seed, time zone, clock and locale; a German one where the system can make it, else
    only those that every system has (they differ in encoding and in nothing else)."""
    sources = Path("/usr/share/i18n/locales/de_DE")
    german = made("de_DE", tmp_path) if sources.exists() and shutil.which("localedef") else None
    here, _ = hashes("three-balls", 0, PYTHONHASHSEED="1", TZ="UTC", LC_ALL="C")
    kinds = {line.rsplit(".", 1)[1] for line in here}
    assert {"html", "png", "pdf", "json", "vtt", "csv"} <= kinds  # SVG stands in the HTML
    there, said = hashes(
        "three-balls", 7 * 366 * 86_400, PYTHONHASHSEED="4711", TZ="Pacific/Kiritimati",
        **(german or {"LC_ALL": "C.UTF-8"}),
    )  # fmt: skip
    assert "7 years" in said  # the clock was moved
    assert ("de_DE.UTF-8 ." if german else "C.UTF-8 .") in said
    assert here == there


#: What reads a clock, by its last name; and where that may be done, and what for.
CLOCKS = {
    "now", "utcnow", "today", "time", "time_ns", "monotonic", "perf_counter", "localtime", "gmtime",
    "ctime", "asctime", "strftime", "process_time",
}  # fmt: skip
MAY_READ = {
    "explainer/lifting.py": "the day on which numbers are lifted, kept beside them",
    "explainer/draft/shown.py": "no clock: the hours of a cell that holds a time",
    "explainer/publish/local_server.py": "how long a connection has waited for its browser",
    "explainer/publish/rehearse.py": "how long a rehearsal's build took, told in the terminal",
    "explainer/words/phrases/sandbox.py": "how long a template has run, to end it",
}


def test_no_page_is_made_with_a_clock():
    """Dates on pages are the report's, the rule's and the corrections', all from study.yaml.

    The one other date, the day of a failed study's last good pages, is that of their file.
    """
    root = Path(__file__).parents[2]
    found = set()
    for path in sorted((root / "explainer").rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            if isinstance(node, ast.Attribute) and node.attr in CLOCKS:
                owner = ast.unparse(node.value).rpartition(".")[2]
                if owner in ("time", "datetime", "date", "dt"):
                    found.add(path.relative_to(root).as_posix())
            if isinstance(node, ast.ImportFrom) and node.module == "time":
                found.add(path.relative_to(root).as_posix())
    assert found == set(MAY_READ)
    stamped = {
        path.relative_to(root).as_posix()
        for path in (root / "explainer").rglob("*.py")
        if "fromtimestamp" in path.read_text("utf-8")
    }
    # lifting.py: the day of a lift, or the one that SOURCE_DATE_EPOCH names.
    assert stamped == {"explainer/publish/site.py", "explainer/lifting.py"}
