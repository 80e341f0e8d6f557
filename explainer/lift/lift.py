"""``explainer lift``: a report in, a folder of tables, charts and sentences out."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from hashlib import sha256
from pathlib import Path
from typing import Any

from explainer.errors import UsageError
from explainer.lift.bounded import read_report
from explainer.lift.over_pages import over_pages
from explainer.lift.written import (
    CLAIMS,
    LiftedPart,
    ReportFile,
    chart_part,
    claims_text,
    origin_file,
    table_part,
)

Tell = Callable[[str], None]


@dataclass
class Lifted:
    """Everything lifted from a report."""

    report: ReportFile
    parts: list[LiftedPart] = field(default_factory=list)
    sentences: list[dict[str, Any]] = field(default_factory=list)
    faults: list[str] = field(default_factory=list)
    """What could not be read, with its page, and what can still be done."""

    @property
    def files(self) -> dict[str, bytes]:
        """The files of the folder by name."""
        made = {part.name: part.csv for part in self.parts}
        made |= {origin_file(part): part.origin for part in self.parts}
        made[CLAIMS] = claims_text(self.sentences, self.report.name).encode("utf-8")
        return made


def lift_report(
    path: Path, day: str, pages: Sequence[int] = (), at: Sequence[float] = (),
    tell: Tell = lambda line: None,
) -> Lifted:  # fmt: skip
    """Reads the report in a bounded process.  ``day`` (year-month-day) is noted as the date.

    Raises UsageError for a file that cannot be opened, and for pages it does not have.
    """
    records = read_report(path, pages, at)
    opened = next(records)
    count = int(opened["pages"])
    beyond = [n for n in pages if n > count]
    if beyond:
        raise UsageError(f"{path} has {count} pages; there is no page {beyond[0]}")
    lifted = Lifted(ReportFile(path.name, _hash(path), count))
    taken: set[str] = set()
    said: set[str] = set()
    for record in over_pages(records):
        page = record["page"]
        for table in record.get("tables", ()):
            lifted.parts.append(table_part(table, lifted.report, day, taken))
            tell(lifted.parts[-1].says)
        for chart in record.get("charts", ()):
            lifted.parts.append(chart_part(chart, lifted.report, day, taken))
            tell(lifted.parts[-1].says)
        for sentence in record.get("sentences", ()):
            if sentence["text"] not in said:  # a running title, or text that comes again
                said.add(sentence["text"])
                lifted.sentences.append(sentence)
        lifted.faults += [f"{path.name}: page {page}: {why}" for why in record["faults"]]
    return lifted


def _hash(path: Path) -> str:
    try:
        with path.open("rb") as file:
            digest = sha256()
            while block := file.read(1 << 20):
                digest.update(block)
            return digest.hexdigest()
    except OSError as fault:
        raise UsageError(f"cannot read {path}: {fault.strerror or fault}") from fault


def chosen_pages(text: str) -> tuple[int, ...]:
    """``3,5-8`` as page numbers.  Raises UsageError."""
    found: list[int] = []
    for part in text.split(","):
        first, dash, last = part.strip().partition("-")
        if not first.isdigit() or (dash and not last.isdigit()) or int(first) < 1:
            said = part.strip() or "nothing"
            raise UsageError(f"--pages {text}: {said} is no page; expected 3 or 5-8")
        end = int(last) if dash else int(first)
        if end < int(first) or end > 100_000:
            raise UsageError(f"--pages {text}: {part.strip()} runs backwards; expected 5-8")
        found += range(int(first), end + 1)
    return tuple(dict.fromkeys(found))


def chosen_places(text: str) -> tuple[float, ...]:
    """``0,10,20`` as numbers.  Raises UsageError."""
    try:
        return tuple(float(part) for part in text.split(","))
    except ValueError:
        raise UsageError(f"--at {text} is not a list of numbers; expected --at 0,10,20") from None
