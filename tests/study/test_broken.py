"""Every way to get a study wrong that we thought of, and the exact line its author reads.

Each case is a text file in ``broken/``: what is wrong in one line, then sections.

    == edit FILE        lines with ``- `` are replaced by the lines with ``+ `` below them
    == append FILE      added at the end
    == file FILE        the whole file, in place of the sound one
    == says             the lines the author reads, all of them, in order
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from explainer.errors import StudyError
from explainer.study.load import load_study, open_workspace

CASES = sorted((Path(__file__).parent / "broken").glob("*.txt"))


def sections(case: str) -> list[tuple[str, str, str]]:
    """(what to do, file, text) for each section of a case."""
    parts = re.split(r"(?m)^== (\w+) ?(.*)\n", case)[1:]
    return list(zip(parts[0::3], parts[1::3], parts[2::3], strict=True))


def edit(text: str, change: str) -> str:
    """``text`` with each run of ``- `` lines replaced by the ``+ `` lines that follow it."""
    for old, new in re.findall(r"((?:^- .*\n)+)((?:^\+ .*\n)*)", change, re.MULTILINE):
        before = re.sub(r"(?m)^- ", "", old)
        assert text.count(before) == 1, f"{text.count(before)} times in the sound study: {before}"
        text = text.replace(before, re.sub(r"(?m)^\+ ", "", new))
    return text


def broken(case: str, folder: Path) -> list[str]:
    """Break the study in ``folder`` as ``case`` says; the lines that its author should read."""
    says: list[str] = []
    for what, name, text in sections(case):
        path = folder / name
        if what == "edit":
            path.write_text(edit(path.read_text("utf-8"), text), "utf-8")
        elif what == "append":
            path.write_text(path.read_text("utf-8") + text, "utf-8")
        elif what == "file":
            path.write_text(text, "utf-8")
        elif what == "says":
            says = text.strip().splitlines()
        else:
            raise AssertionError(f"unknown section {what}")
    return says


@pytest.mark.parametrize("case", CASES, ids=lambda path: path.stem)
def test_the_author_reads_exactly_this(case: Path, bench: Path) -> None:
    says = broken(case.read_text("utf-8"), bench)
    with pytest.raises(StudyError) as raised:
        load_study(bench, open_workspace(bench.parent.parent))
    assert str(raised.value).splitlines() == says


def test_there_are_enough_cases_and_each_says_something() -> None:
    assert len(CASES) >= 60
    for case in CASES:
        assert "== says\n" in case.read_text("utf-8"), case.name
