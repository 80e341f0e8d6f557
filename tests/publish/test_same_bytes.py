"""The same inputs give the same bytes: other hash seed, time zone, locale and date."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

#: Builds one study with the clock moved, and prints the hash of each file.
CODE = """
import datetime, hashlib, sys, time

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
"""


def hashes(study: str, moved: float, **environment: str) -> tuple[list[str], str]:
    done = subprocess.run(
        [sys.executable, "-c", CODE, study, str(moved)], capture_output=True, text=True,
        cwd=Path(__file__).parents[2], env={**os.environ, **environment}, check=True,
    )  # fmt: skip
    return done.stdout.splitlines(), done.stderr


@pytest.mark.slow
def test_two_processes_in_other_circumstances_make_the_same_files():
    here, _ = hashes("cover-texture", 0, PYTHONHASHSEED="1", TZ="UTC", LC_ALL="C")
    there, said = hashes(
        "cover-texture", 7 * 366 * 86_400, PYTHONHASHSEED="4711", TZ="Pacific/Kiritimati",
        LC_ALL="C.UTF-8", LANG="de_DE.UTF-8",
    )  # fmt: skip
    assert "7 years" in said  # the clock was moved
    kinds = {line.rsplit(".", 1)[1] for line in here}
    assert {"html", "png", "pdf", "json", "vtt", "csv"} <= kinds  # SVG stands in the HTML
    assert here == there
