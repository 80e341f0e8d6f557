"""A workbook, opened in a process of its own: a stranger may have made it to take everything."""

from __future__ import annotations

import json

from explainer.confined import SilentError, answer_of
from explainer.draft.guess import Guess
from explainer.draft.sheets import RawSheet
from explainer.draft.workbook import MEMORY, SECONDS, refusal
from explainer.errors import UsageError
from explainer.study.unseen import seen

#: How many times as long it may take by the clock, on a busy machine.
_PATIENCE = 4


def sheets_of_workbook(data: bytes, file: str) -> list[RawSheet]:
    """Every sheet with something in it, read within bounds of memory and time.

    Raises UsageError for what is no workbook that we read, and for one that takes too much.
    """
    asked = json.dumps(file).encode() + b"\n" + data
    try:
        said = json.loads(answer_of("explainer.draft.workbook", asked, _PATIENCE * SECONDS))
    except SilentError:
        most = f"{MEMORY // 10**6:,} megabytes or {SECONDS:g} seconds"
        expected = "a smaller one (save what you need of it as CSV)"
        raise refusal(file, f"a workbook that takes over {most} to read", expected) from None
    if "fault" in said:
        raise UsageError(said["fault"])
    return [
        RawSheet(" ".join(seen(name).split()) or f"sheet {place}",
                 tuple((n, cells) for n, cells in rows), tuple(Guess(*g) for g in told), gone)
        for place, (name, rows, told, gone) in enumerate(said["sheets"], start=1)
    ]  # fmt: skip
