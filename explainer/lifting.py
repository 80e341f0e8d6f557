"""What the command line does with a report's PDF beside lifting it: by hand, against an earlier
lifting, and straight into a draft."""

from __future__ import annotations

import os
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from explainer.errors import UsageError
from explainer.process import say

if TYPE_CHECKING:
    from explainer.draft.draft import GivenFile
    from explainer.draft.written import GivenReport
    from explainer.lift.lift import Lifted
    from explainer.lift.written import MovedPart


def by_hand(
    report: Path, pages: tuple[int, ...], folder: Path, port: int | None, tell: Any
) -> None:
    """Opens the reading desk on one page of a PDF, or on an image file."""
    import base64
    from hashlib import sha256

    from explainer.lift.bounded import checked, page_picture
    from explainer.lift.desk import add_files, sit_down
    from explainer.lift.reading import CameFrom
    from explainer.lift.written import ReportFile

    is_pdf = b"%PDF-" in checked(report, "a PDF or an image file")
    if is_pdf and len(pages) != 1:
        raise UsageError(f"--picture reads one page: name it with --pages, such as --pages 8 "
                         f"(found {len(pages)} pages)")  # fmt: skip
    if not is_pdf and len(pages) > 1:
        raise UsageError("--picture of an image file takes one page at most: where it stands")
    shown = page_picture(report, pages[0] if is_pdf else None, 2600)
    digest = sha256(report.read_bytes()).hexdigest()
    page = pages[0] if pages else 1
    source = CameFrom(ReportFile(report.name, digest, shown["pages"] or page), page, today())
    png = base64.b64decode(shown["png"])

    def save(files: Mapping[str, bytes]) -> str:
        return str(folder / add_files(folder, files))

    if not sit_down(png, source, save, port, say):
        tell("reading desk closed; nothing was saved")
        return
    tell(f"lifted: {folder}")
    tell(f"next: explainer draft NAME --from {folder}/*.csv")


def say_moves(options: dict[str, Any], folder: Path, lifted: Lifted, tell: Any) -> None:
    """What moved since an earlier lifting and, where that is a study, which verdicts."""
    from explainer.lift.written import earlier_parts, moved, told

    earlier = earlier_parts(folder)
    if all(part.origin.report.sha256 == lifted.report.sha256 for part in earlier):
        tell(f"{lifted.report.name} is the very file that was lifted before")
    parts = moved(earlier, lifted.parts)
    for part in parts:
        for line in told(part):
            tell(line)
    if (folder / "study.yaml").is_file():
        for line in _verdicts_moved(options, folder, parts):
            tell(line)


def _verdicts_moved(
    options: dict[str, Any], folder: Path, parts: Sequence[MovedPart]
) -> Iterator[str]:
    """Lines for verdicts that differ with the new numbers; the study itself is left alone."""
    import shutil
    import tempfile

    from explainer.claims.judge import judge
    from explainer.draft.draft import GivenFile, corrected
    from explainer.study.load import find_study, load_study

    workspace, found = find_study(str(folder))
    before = judge(load_study(found, workspace))
    with tempfile.TemporaryDirectory(prefix="explainer-lift-") as place:
        copy = Path(place) / "studies" / found.name
        shutil.copytree(found, copy, ignore=shutil.ignore_patterns("originals"), symlinks=True)
        for part in parts:
            if part.now is None or not part.moves:
                continue
            then = GivenFile(part.then.file, part.then.data, b"lifted")
            now = GivenFile(part.then.file, part.now.csv, b"lifted")
            data = corrected(then, now, (found / part.then.file).read_bytes())
            if data is None:
                yield f"{part.then.file}: edited since it was lifted; its verdicts are not compared"
            else:
                (copy / part.then.file).write_bytes(data)
        after = judge(load_study(copy, workspace))
    moves = [
        f"{old.claim.id}: {old.code} then, {new.code} now"
        for old, new in zip(before.verdicts, after.verdicts, strict=True) if old.code != new.code
    ]  # fmt: skip
    yield from moves or ["every verdict is as it was"]


def today() -> str:
    """The day a reading is dated: today's, or the one that reproducible builds are given."""
    import datetime

    given = os.environ.get("SOURCE_DATE_EPOCH", "")
    if given.isdigit():
        return datetime.datetime.fromtimestamp(int(given), datetime.UTC).date().isoformat()
    return datetime.date.today().isoformat()


def lifted_first(paths: Sequence[Path]) -> tuple[list[Path | GivenFile], GivenReport | None]:
    """Files to draft from, with what is lifted from those that are PDFs."""
    from explainer.draft.draft import GivenFile
    from explainer.draft.written import GivenReport

    given: list[Path | GivenFile] = []
    report: GivenReport | None = None
    for path in paths:
        if path.suffix.lower() != ".pdf":
            given.append(path)
            continue
        if report is not None:
            raise UsageError(f"{path.name} is a second report; draft from one report at a time")
        from explainer.lift.lift import lift_report
        from explainer.lift.written import claims_text

        lifted = lift_report(path, today())
        for fault in lifted.faults:
            say(fault, err=True)
        if not lifted.parts:
            raise UsageError(
                f"{path}: no table and no drawn chart found; read its charts with: "
                f"explainer lift {path.name} --picture --pages PAGE"
            )
        given += [GivenFile(part.name, part.csv, part.origin) for part in lifted.parts]
        claims = claims_text(lifted.sentences, path.name)
        report = GivenReport(path.stem.replace("-", " ").replace("_", " "),
                             lifted.report.pages, claims)  # fmt: skip
    return given, report
