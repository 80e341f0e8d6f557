"""``explainer draft``: files in, a study folder's content out; and skeletons to start from."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from explainer.draft.folder import ORIGINALS
from explainer.draft.footnotes import without_marks
from explainer.draft.grid import decode, grid_of
from explainer.draft.guess import Guess
from explainer.draft.plan import FindTerm, plan
from explainer.draft.tidy import Tidy, tidy
from explainer.draft.written import GivenReport, study_yaml
from explainer.errors import UsageError
from explainer.study.description.lifted import sidecar_name
from explainer.study.lifted import MAX_ORIGIN_BYTES, lifted_of, retold
from explainer.study.load import DESCRIPTION
from explainer.study.near import nearest

MAX_BYTES = 30_000_000
#: Worked skeletons, and what each is for.
KINDS: Mapping[str, str] = {
    "over-use": "the same balls measured again and again as they are rolled",
    "new-against-used": "two groups of balls side by side",
    "gauge-check": "does a gauge give the same answer, whoever holds it?",
    "rates": "strikes out of shots under two conditions",
    "season": "a league's winter: the same bowlers, night after night",
    "paths": "where the ball is on the lane, foot by foot",
}


@dataclass(frozen=True)
class DraftedStudy:
    """A study folder's files by path, and what was guessed in making them."""

    files: Mapping[str, bytes]
    guesses: tuple[Guess, ...]


@dataclass(frozen=True)
class GivenFile:
    """A file to draft from that is no file yet: a table or chart just lifted from a report."""

    name: str
    data: bytes
    origin: bytes


def draft_from(
    name: str, given: Sequence[Path | GivenFile], find_term: FindTerm,
    report: GivenReport | None = None,
) -> DraftedStudy:  # fmt: skip
    """A draft from files as a spreadsheet wrote them, or as they were lifted from a report.

    Raises UsageError for what is no table; of several lifted ones, such are left out and named.
    """
    tables: list[Tidy] = []
    files: dict[str, bytes] = {}
    origins: dict[str, bytes] = {}
    left_out: list[Guess] = []
    for one in given:
        file = one if isinstance(one, GivenFile) else GivenFile(one.name, _read(one), _beside(one))
        original = f"{ORIGINALS}/{file.name}"
        if original in files:
            raise UsageError(f"two files are called {file.name}; rename one of them")
        try:
            tables.append(_tidied(file))
        except UsageError as fault:
            if not isinstance(one, GivenFile):
                raise
            left_out.append(Guess(file.name, f"left out: {fault}", "please check"))
            continue
        files[original] = file.data
        if file.origin:
            origins[file.name] = file.origin
    if not tables:
        raise UsageError(f"nothing to draft from: {left_out[0].about}: {left_out[0].what}")
    made_plan = plan(name, tables, find_term)
    for table in made_plan.tables:
        data = files[table.file] = table.tidy.to_csv()
        if table.tidy.original in origins:
            names = {c.header.written: c.name for c in table.tidy.columns}
            told = retold(origins[table.tidy.original], table.file, data, names)
            files[sidecar_name(table.file)] = told
    where = {name: lifted_of(name, origin) for name, origin in origins.items()}
    files[DESCRIPTION] = study_yaml(made_plan, where, report).encode("utf-8")
    return DraftedStudy(files, (*made_plan.guesses, *left_out))


def _tidied(file: GivenFile) -> Tidy:
    text, guess = decode(file.data, file.name)
    guesses = [guess]
    if file.origin:
        text, marked = without_marks(text)
        if marked:
            shown = ", ".join(marked[:4])
            guesses.append(Guess(file.name, f"footnote marks taken off: {shown}", "please check"))
    made = tidy(grid_of(text, file.name))
    return Tidy(made.original, made.columns, (*guesses, *made.guesses), made.missing,
                made.wide, made.rows)  # fmt: skip


def corrected(then: GivenFile, now: GivenFile, tidy_copy: bytes) -> bytes | None:
    """The tidy copy of a lifted file with the numbers of a newer lifting in their places.

    None where the copy is no longer what was made of ``then``: somebody edited it.
    """
    head, *body = tidy_copy.decode("utf-8").split("\n")
    made = _tidied(then).to_csv().decode("utf-8").split("\n")
    new = _tidied(now).to_csv().decode("utf-8").split("\n")
    if made[1:] != body or len(made[0].split(",")) != len(new[0].split(",")):
        return None
    return "\n".join([head, *new[1:]]).encode("utf-8")


def _beside(path: Path) -> bytes:
    """What stands beside a lifted CSV file: where it came from.  Empty for any other."""
    beside = path.with_name(sidecar_name(path.name))
    if not beside.is_file() or beside.stat().st_size > MAX_ORIGIN_BYTES:
        return b""
    return _read(beside)


def _read(path: Path) -> bytes:
    try:
        if not path.is_file():
            raise UsageError(f"no file {path}; expected a CSV file")
        if path.stat().st_size > MAX_BYTES:
            raise UsageError(
                f"{path} is over {MAX_BYTES // 10**6} megabytes; draft from a part of it"
            )
        return path.read_bytes()
    except OSError as fault:
        raise UsageError(f"cannot read {path}: {fault.strerror or fault}") from fault


def skeleton(kind: str, template_folders: Sequence[Path]) -> DraftedStudy:
    """A worked study of a common kind, with invented numbers, whose comments teach the format."""
    for folder in template_folders:
        files = sorted(p for p in (folder / "drafts" / kind).glob("*") if p.is_file())
        if files:
            return DraftedStudy({p.name: p.read_bytes() for p in files}, ())
    words = {word: name for name in KINDS for word in (name, *name.split("-"))}
    near = nearest(kind, words)
    help = f" (did you mean `{words[near]}`?)" if near else ""
    raise UsageError(f"no skeleton {kind}; expected one of {', '.join(KINDS)}{help}")
