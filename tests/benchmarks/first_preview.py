"""How long an author waits for the page in rehearsal, after a change of words and of numbers.

.venv/bin/python tests/benchmarks/first_preview.py

Of every example the page is built again after its title, and after a cell of its first table, was
changed: from the moment the change is seen to the moment a browser is told, without the
``DEBOUNCE`` of 0.12 s that changes are gathered for.  The aims are 0.5 s for words and 1.5 s for
numbers on the largest example; processor time is what to compare on a busy machine.
"""

from __future__ import annotations

import shutil
import statistics
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from explainer.publish.rehearse import Stage

ROOT = Path(__file__).resolve().parents[2]
TIMES = 5
AIMS = {"words": 0.5, "numbers": 1.5}


class Watched(Stage):
    """A stage that notes when a browser was first told of a build."""

    told: tuple[float, float] = (0.0, 0.0)

    def _tell_browsers(self, problems, new: bool = True) -> None:
        if new:
            self.told = (time.perf_counter(), time.process_time())
        super()._tell_browsers(problems, new)


def waited(stage: Watched, study: str, change: Callable[[int], None]) -> tuple[float, float]:
    """Median seconds on the clock and of processor until a browser was told."""
    found = []
    for n in range(TIMES):
        change(n)
        wall, processor = time.perf_counter(), time.process_time()
        stage.rebuild({study})
        assert not stage.problems, stage.problems
        found.append((stage.told[0] - wall, stage.told[1] - processor))
    walls, processors = zip(*found, strict=True)
    return statistics.median(walls), statistics.median(processors)


def retitled(folder: Path) -> Callable[[int], None]:
    file = folder / "study.yaml"
    text = file.read_text("utf-8")
    return lambda n: file.write_text(text.replace("title: ", f"title: Again {n} ", 1), "utf-8")


def remeasured(folder: Path) -> Callable[[int], None]:
    """Another last digit in the last row that has a number with one."""
    file = max(folder.glob("*.csv"), key=lambda path: path.stat().st_size)
    head, _, last = file.read_text("utf-8").rstrip("\n").rpartition("\n")
    cells = last.split(",")
    place = max(i for i, cell in enumerate(cells) if cell.replace(".", "").isdigit())
    whole = "." not in cells[place]

    def change(n: int) -> None:
        old = cells[place]
        new = str(max(0, int(old) - n % 2)) if whole else f"{float(old) + n / 100:.2f}"
        row = ",".join([*cells[:place], new, *cells[place + 1 :]])
        file.write_text(f"{head}\n{row}\n", "utf-8")

    return change


def main() -> None:
    with tempfile.TemporaryDirectory() as place:
        root = Path(place)
        shutil.copytree(ROOT / "studies", root / "studies")
        stage = Watched(root, root / "site", lambda line: None)
        stage.rebuild()
        print(f"{'study':16} {'change':8} {'seconds':>8} {'processor':>10} {'aim':>6}")
        for folder in sorted(p for p in (root / "studies").iterdir() if p.is_dir()):
            before = (folder / "study.yaml").read_text("utf-8")
            for what, change in (("words", retitled(folder)), ("numbers", remeasured(folder))):
                wall, processor = waited(stage, folder.name, change)
                print(f"{folder.name:16} {what:8} {wall:8.2f} {processor:10.2f} {AIMS[what]:6.1f}")
                (folder / "study.yaml").write_text(before, "utf-8")


if __name__ == "__main__":
    main()
