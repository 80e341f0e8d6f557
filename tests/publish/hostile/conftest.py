"""A small sound study, as a stranger would send it, for tests to turn against us."""

from __future__ import annotations

import copy
import csv
import io
import json
import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest

SECRET = "root:x:0:0:not-for-strangers"
#: Stands in every text an author may write.
HERE = "@@"
#: Stands in every name, which has at most 120 characters.
HERE_SHORT = "@n"
SOUND: dict[str, Any] = {
    "title": "Covers and games @@",
    "question": "Does a cover wear? @@",
    "invented": "yes",
    "intro": "Opening words. @@",
    "data_source": "Made up. @@",
    "report": {
        "title": "Worn covers @@", "publisher": "Brackenfold Test Bench @n",
        "date": "2026-02-11", "pages": 12, "link": "https://example.org/report",
    },
    "tested": {"each": "ball", "group": "model", "count": 6, "described": "Six balls. @@"},
    "use": {"column": "games", "term": "games rolled @n", "unit": "game"},
    "measures": {
        "texture": {"term": "cover roughness", "unit": "microinch", "resolution": 1,
                    "matters_from": 6, "more_is": "rougher @n", "less_is": "smoother @n"},
    },
    "tables": {"readings": {"file": "readings.csv", "source": "Table 2 @@"}},
    "figures": [
        {"id": "over-play", "kind": "over-use", "table": "readings", "y": "texture",
         "report_figure": "Figure 1 @n", "say": "Look here. @@"},
    ],
    "claims": [
        {"id": "falls", "report_says": "Texture fell. @@", "page": "page 6 @@",
         "plainly": "They go smooth. @@", "key": "yes", "figure": "over-play",
         "test": {"kind": "change", "measure": "texture", "from": 0, "to": 60,
                  "direction": "down"}},
        {"id": "beyond", "report_says": "And so on for ever. @@", "plainly": "For ever. @@",
         "test": {"kind": "not-testable", "because": "nobody waited @@"}},
    ],
    "stated": [
        {"what": "mean at the start @@", "where": "Table 2 @n", "value": "71.4",
         "compute": {"mean": "texture", "at": 0}},
    ],
    "rule": {
        "change": "Covers must be rough. @@", "in_force": "2026-09-01",
        "limit": {"measure": "texture", "at_least": 40}, "affects": "Everybody. @@",
        "reading": "Take three. @@",
        "reasons": [{"claim": "falls", "therefore": "so it matters @@"}, "beyond"],
    },
    "questions": [{"ask": "And then? @@", "settled_by": "more games @@"}],
    "advice": [{"do": "Count your games. @@", "because": ["falls"]}],
    "corrections": [{"date": "2026-03-01", "what": "A slip. @@"}],
}  # fmt: skip


def rows(mark: str = "") -> list[list[str]]:
    """Six balls of two models at three checkpoints; ``mark`` is added to every name."""
    found = [["ball", "model", "games", "texture"]]
    for n in range(6):
        for games, lost in ((0, 0), (30, 14), (60, 19)):
            model = "Plover" if n < 3 else "Teasel"
            reading = 70 + 2 * n - lost - (n * games) % 7 / 10
            found.append([f"B{n}{mark}", f"{model}{mark}", str(games), str(reading)])
    return found


@dataclass
class Stranger:
    """A study folder in a workspace, and a file outside it that nobody may read."""

    root: Path
    said: dict[str, Any] = field(default_factory=lambda: copy.deepcopy(SOUND))

    @property
    def folder(self) -> Path:
        return self.root / "studies" / "one"

    @property
    def outside(self) -> Path:
        return self.root / "outside.csv"

    def set(self, path: str, value: Any) -> None:
        """Sets a value by its path with dots; numbers count list entries."""
        *parents, last = path.split(".")
        block: Any = self.said
        for key in parents:
            block = block[int(key) if isinstance(block, list) else key]
        block[int(last) if isinstance(block, list) else last] = value

    def write(self, payload: str = "", in_names: str = "") -> None:
        """Writes the description, with ``payload`` in every text, and the data."""
        text = json.dumps(self.said, ensure_ascii=False, indent=1)
        quoted, name = (json.dumps(p, ensure_ascii=False)[1:-1] for p in (payload, payload[:90]))
        self.raw("study.yaml", text.replace(HERE, quoted).replace(HERE_SHORT, name))
        out = io.StringIO(newline="")
        csv.writer(out).writerows(rows(in_names))
        self.raw("readings.csv", out.getvalue())

    def raw(self, name: str, content: str | bytes) -> None:
        data = content.encode() if isinstance(content, str) else content
        (self.folder / name).write_bytes(data)


@pytest.fixture
def stranger(tmp_path) -> Stranger:
    made = Stranger(tmp_path)
    made.folder.mkdir(parents=True)
    made.outside.write_text(f"ball,model,games,texture\n{SECRET},x,0,1\n")
    return made


_watched: list[tuple[str, str]] | None = None
_CALLS = {"socket.connect", "socket.getaddrinfo", "subprocess.Popen", "os.system"}


def _hook(event: str, given: tuple[Any, ...]) -> None:
    if _watched is None:
        return
    if event == "open" and isinstance(given[0], str | bytes):
        _watched.append((event, str(given[0])))
    elif event in _CALLS:
        _watched.append((event, str(given)))


sys.addaudithook(_hook)


@pytest.fixture
def watched(stranger, request) -> Iterator[Callable[[], list[tuple[str, str]]]]:
    """Nothing outside is opened, nothing is connected to or run, and it is quick."""
    import weasyprint  # noqa: F401  # it runs the linker to find its libraries, once

    global _watched
    _watched, began = [], time.process_time()  # of ours: a busy machine is nobody's fault
    yield lambda: list(_watched or ())
    seen, _watched = _watched, None
    outside = {str(stranger.outside), "/etc/passwd", "/etc/hostname", "/dev/zero"}
    # matplotlib asks the system once where its libraries are
    calls = [s for s in seen if s[0] in _CALLS and "ldconfig" not in s[1]]
    assert not calls
    assert not [path for event, path in seen if event == "open" and path in outside]
    everything = request.node.get_closest_marker("slow")  # all editions, not the page alone
    assert time.process_time() - began < (30 if everything else 10)
