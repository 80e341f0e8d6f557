"""No cell of a downloaded CSV begins a formula, however its sign is dressed up.

What counts as a sign: OWASP, "CSV Injection" (=, +, -, @, tab and return), from memory.
"""

from __future__ import annotations

import csv
import io
import re

import pytest

from explainer.publish.data import inert
from explainer.publish.rehearse import quick
from explainer.study.load import open_workspace
from explainer.study.unseen import first_unseen

LIVE = [
    "=1+1", "+1+1", "-1+1", "@SUM(A1)", "=", "\t=1", " =1", "   =1", "\r=1", "\n=1", "a\r=1",
    "a\n=1", "a\r\n=1", "a\x0b=1", "a\x0c=1", "a\x85=1", "a\u2028=1", "a\u2029=1", "a\n\n\t +1",
    "＝1+1", "＋1+1", "－1+1", "＠SUM(A1)", "﹦1", "﹢1+1", "﹣1+1", "﹫x", "⁺1x", "₊1x", "⁼1",
    "₌1",
    "+1", "+5.5", " +5", "+1e3", "+inf",
    "\u200b=1", "\ufeff=1", "\u202e=1", "\u2066=1", "\u00ad=1", "\u00a0=1", "\u3000=1", "\x00=1",
    "\x1b=1", "\x7f=1", "\u061c=1", "\U000e0001=1", "\u180e=1", "\u2060=1", "\u200b\u200b \t＝x",
    "x\u200b\r\u200b＝1", "=cmd|' /C calc'!A0", "-2+3+cmd|' /C calc'!A0", "=HYPERLINK(1)", "﹦cmd",
]  # fmt: skip
PLAIN = ["", " ", "a=1", "1-2", "B0", "-5", "-5.25e3", "-5e+3", " -5", "'=1", "a b\nc d", "ä",
         "“=1”", "1\n2", "\u200b", "0", "−5", "−1 to 1"]  # fmt: skip


@pytest.mark.parametrize("text", LIVE, ids=ascii)
def test_what_could_run_is_text(text):
    assert inert(text) == "'" + text


@pytest.mark.parametrize("text", PLAIN, ids=ascii)
def test_what_cannot_run_is_left_as_it_is(text):
    assert inert(text) == text


def test_every_cell_and_column_name_of_a_download_is_inert(stranger, watched):
    """Column names, names of balls and groups, and columns that no table names."""
    starts = [text for text in LIVE if first_unseen(text) is None and text.strip()]
    stranger.said["tested"]["count"] = len(starts)
    stranger.write()
    out = io.StringIO(newline="")
    writer = csv.writer(out)
    writer.writerow(["ball", "model", "games", "texture", "＝remark", " @more"])
    for n, start in enumerate(starts):
        for games in (0, 60):
            reading = 70 - games / 4 + n % 5
            name = re.sub(r"[\r\n\v\f\x85\u2028\u2029]+\s*", " ", start)  # a name is on one line
            writer.writerow([f"{name} B{n}", "=Plover", games, reading, start, start])
    stranger.raw("readings.csv", out.getvalue())
    files = quick(stranger.folder, open_workspace(stranger.root)).files
    seen = 0
    for name, content in files.items():
        if name.endswith(".csv"):
            for row in csv.reader(io.StringIO(content.decode(), newline="")):
                assert all(c.startswith("'") or inert(c) == c for c in row), (name, row)
                assert len(row) == len(next(csv.reader(io.StringIO(content.decode()))))
                seen += sum(cell.startswith("'") for cell in row)
    assert seen > 4 * len(starts)
