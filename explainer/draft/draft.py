"""``explainer draft``: files in, a study folder's content out; and skeletons to start from."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from explainer.draft.folder import ORIGINALS
from explainer.draft.grid import decode, grid_of
from explainer.draft.guess import Guess
from explainer.draft.plan import FindTerm, plan
from explainer.draft.tidy import Tidy, tidy
from explainer.draft.written import study_yaml
from explainer.errors import UsageError
from explainer.study.load import DESCRIPTION
from explainer.study.near import nearest

MAX_BYTES = 30_000_000
#: Worked skeletons, and what each is for.
KINDS: Mapping[str, str] = {
    "over-use": "the same balls measured again and again as they are rolled",
    "new-against-used": "two groups of balls side by side",
    "gauge-check": "does a gauge give the same answer, whoever holds it?",
    "rates": "strikes out of shots under two conditions",
    "paths": "where the ball is on the lane, foot by foot",
}


@dataclass(frozen=True)
class DraftedStudy:
    """A study folder's files by path, and what was guessed in making them."""

    files: Mapping[str, bytes]
    guesses: tuple[Guess, ...]


def draft_from(name: str, paths: Sequence[Path], find_term: FindTerm) -> DraftedStudy:
    """A draft from files as a spreadsheet wrote them.  Raises UsageError for what is no table."""
    tables: list[Tidy] = []
    files: dict[str, bytes] = {}
    for path in paths:
        data = _read(path)
        text, guess = decode(data, path.name)
        made = tidy(grid_of(text, path.name))
        tables.append(Tidy(made.original, made.columns, (guess, *made.guesses), made.missing,
                           made.wide, made.rows))  # fmt: skip
        original = f"{ORIGINALS}/{path.name}"
        if original in files:
            raise UsageError(f"two files are called {path.name}; rename one of them")
        files[original] = data
    made_plan = plan(name, tables, find_term)
    for table in made_plan.tables:
        files[table.file] = table.tidy.to_csv()
    files[DESCRIPTION] = study_yaml(made_plan).encode("utf-8")
    return DraftedStudy(files, made_plan.guesses)


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
