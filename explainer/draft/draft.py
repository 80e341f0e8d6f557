"""``explainer draft``: files in, a study folder's content out; and skeletons to start from."""

from __future__ import annotations

import csv
import io
import json
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import combinations
from pathlib import Path

from explainer import units
from explainer.draft.columns import Column
from explainer.draft.folder import ORIGINALS, plain_name
from explainer.draft.grid import grids_of, text_sheet
from explainer.draft.guess import Guess
from explainer.draft.headers import parse
from explainer.draft.opened import sheets_of_workbook
from explainer.draft.plan import FindTerm, Plan, plan
from explainer.draft.proposals import TablePlan
from explainer.draft.sheets import RawSheet, decode, few_enough, is_workbook, parted
from explainer.draft.tabs import as_one
from explainer.draft.tidy import Tidy, tidy
from explainer.draft.written import GivenReport, scalar_text, study_yaml
from explainer.errors import UsageError, nearest
from explainer.study.description.lifted import sidecar_name
from explainer.study.description.study import MOST_TABLES
from explainer.study.description.tests import kinds
from explainer.study.lifted import MAX_ORIGIN_BYTES, lifted_of, noted, retold
from explainer.study.load import DESCRIPTION

# Footnote marks behind the numbers of a printed table: kept in the original, not in the copy.

#: A number, then raised letters or digits, stars or daggers.
_MARKED = re.compile(
    "([-+−–]?[\\d.,' \u2009\u202f]*\\d)\\s?([⁰¹²³⁴-⁹ᵃ-ᵿʰ-ʸᶜᶠᶻⁱⁿ*†‡§¶]+)"
)


def without_marks(text: str, file: str) -> tuple[str, list[str]]:
    """A CSV text whose number cells end in their last digit, and the cells that did not."""
    marked: list[str] = []

    def bare(cell: str) -> str:
        found = _MARKED.fullmatch(cell.strip())
        if not found:
            return cell
        marked.append(cell)
        return found[1]

    reader = few_enough(csv.reader(io.StringIO(text, newline="")), file)
    rows = [[bare(c) for c in row] for row in reader]
    if not marked:
        return text, []
    out = io.StringIO(newline="")
    csv.writer(out, lineterminator="\n").writerows(rows)
    return out.getvalue(), marked


# A report's own sentences as claims, in the names of the draft: which measure, table and groups.
# By words alone, and each stub stays marked to confirm.

#: Words of names that tell little apart, words of no weight, and how much of a name, by weight, a
#: sentence has to hold.
_COMMON = frozenset((
    "mean", "total", "average", "cover", "ball", "bowler", "game", "games", "count", "after",
    "before", "first", "last", "second",
))  # fmt: skip
_EMPTY = frozenset(("per", "of", "the", "and", "in", "at", "to", "from", "with", "on", "a", "an"))
_LITTLE, _ENOUGH = 0.3, 0.7


def with_names(stubs: str, plan: Plan) -> str:
    """Stubs of claims with names of the plan where the sentence says which: measures in the order
    it names them, their table, its last checkpoint, and the two groups it compares."""
    lines, said = [], ""
    for line in stubs.splitlines():
        if line.lstrip().startswith("report_says: "):
            said = json.loads(line.split(": ", 1)[1]).casefold()
        if line.lstrip().startswith("test: {"):
            test, mark, more = line.partition("}  # CONFIRM")
            line = _named_test(test, said, plan) + mark + more
        lines.append(line)
    return "\n".join(lines)


def _named_test(test: str, said: str, plan: Plan) -> str:
    counted = next((t for t in plan.tables if t.parts.counts), None)
    if "successes: COLUMN" in test and counted is not None and counted.parts.counts is not None:
        hits, tries = counted.parts.counts
        test = test.replace("successes: COLUMN", f"successes: {scalar_text(hits.name)}")
        test = test.replace("attempts: COLUMN", f"attempts: {scalar_text(tries.name)}")
        test = test.replace(", ", f", table: {scalar_text(counted.name)}, ", 1)
        return _with_groups(test, said, counted)
    found = _measures_said(said, plan)
    together = [
        (names, [t for t in plan.tables if set(names) <= {c.name for c in t.parts.measures}])
        for names in combinations(found, test.count("MEASURE"))
    ]  # fmt: skip
    names, tables = next((one for one in together if one[0] and one[1]), ((), []))
    if not tables:
        return test
    for name in names:
        test = test.replace("MEASURE", name, 1)
    table = next((t for t in tables if t.parts.group), tables[0])
    test = test.replace(", ", f", table: {scalar_text(table.name)}, ", 1)
    use = table.parts.use
    if use is not None and use.numeric:
        test = re.sub(r"\bto: LAST\b", f"to: {max(use.numbers):g}", test)
        test = re.sub(r"\bfrom: 0\b", f"from: {min(use.numbers):g}", test)
        test += _at(test, said, use.numbers)
    return _with_groups(test, said, table)


def _with_groups(test: str, said: str, table: TablePlan) -> str:
    """The two groups a sentence compares, or the one it is about, as the table calls them."""
    group = table.parts.group
    sorts = [c for c in table.tidy.columns if not c.numeric and 2 <= len(c.distinct) <= 12]
    for column in sorted(sorts, key=lambda c: c is not group):
        levels = sorted(
            (found.start(), level) for level in column.distinct
            if (found := re.search(rf"\b{re.escape(level.casefold())}\b", said))
        )  # fmt: skip
        if len(levels) == 2 and "ONE" in test:
            for capitals, value in (("COLUMN", column.name), ("ONE", levels[0][1]),
                                    ("OTHER", levels[1][1])):  # fmt: skip
                test = scalar_text(value).join(re.split(rf"\b{capitals}\b", test))
        elif len(levels) == 1 and "COLUMN" not in test and _sorted(levels[0][1], said, table):
            test += f", only: {scalar_text({column.name: levels[0][1]})}"
    return test


def _sorted(level: str, said: str, table: TablePlan) -> bool:
    """Whether a sentence speaks of such items (sanded balls), not of doing it (be sanded)."""
    if level.casefold() in ("a", "i"):  # an article is no sample
        return False
    nouns = rf"(?:balls?|covers?|ones?|bowlers?|players?|{re.escape(table.parts.each)}s?)"
    return re.search(rf"\b{re.escape(level.casefold())} {nouns}\b", said) is not None


def _at(test: str, said: str, checkpoints: Sequence[float]) -> str:
    """``, at: 160`` where a sentence says so of a test that is about one checkpoint."""
    kind = re.search(r"kind: ([\w-]+)", test)
    if kind is None or "at" not in kinds()[kind[1]].model_fields:
        return ""
    after = re.search(r"\bafter (\d+)\b", said)
    if after and float(after[1]) in checkpoints:
        return f", at: {after[1]}"
    return f", at: {max(checkpoints):g}" if re.search(r"\bat the end\b", said) else ""


def _measures_said(said: str, plan: Plan) -> list[str]:
    """Measures whose own words a sentence holds, in the order it names them; of those that share
    their words the first of the plan, which is the table's before the chart's."""
    held = []
    for place, measure in enumerate(plan.measures):
        share, at = max(
            (_held(text, said) for text in (measure.name, measure.term)), key=lambda one: one[0]
        )
        if share >= _ENOUGH:
            held.append((-share, place, measure.name, at))
    found: list[tuple[int, int, str]] = []
    known: list[frozenset[int]] = []
    for _, place, name, at in sorted(held, key=lambda one: one[:2]):
        if not any(at <= other for other in known):
            known.append(at)
            found.append((min(at), place, name))
    if not found:  # `at least 40 microinches` says what was measured by its unit
        unit = next((m for m in plan.measures if m.unit != "count" and
                     re.search(rf"\d {units.plural(m.unit)}\b", said)), None)  # fmt: skip
        return [unit.name] if unit else []
    return [name for _, _, name in sorted(found)]


def _held(text: str, said: str) -> tuple[float, frozenset[int]]:
    """How much of a name a sentence holds, by weight, and where; nothing where only common words
    of it are there."""
    words = [w for w in re.findall(r"[a-z]{3,}", text.casefold()) if w not in _EMPTY]
    at = {w: match.start() for w in words if (match := re.search(rf"\b{w}", said))}
    weight = {w: _LITTLE if w in _COMMON else 1.0 for w in words}
    if not words or (all(w in _COMMON for w in at) and len(at) < len(weight)):
        return 0.0, frozenset()
    return sum(weight[w] for w in at) / sum(weight.values()), frozenset(at.values())


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
    """What matters most first, each said once."""
    plan: Plan | None = None
    """What was made of the tables; None for a skeleton."""

    @property
    def questions(self) -> tuple[Guess, ...]:
        """What only the author can settle, in the order of what hangs on it."""
        return tuple(guess for guess in self.guesses if guess.sure == "please check")


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

    Raises UsageError for what is no table, and for more than a study may have; of several lifted
    ones, what is none is left out and named.
    """
    _few_enough(len(given), "files")
    tables: list[Tidy] = []
    files: dict[str, bytes] = {}
    origins: dict[str, bytes] = {}
    more: list[Guess] = []
    for one in given:
        file = one if isinstance(one, GivenFile) else GivenFile(one.name, _read(one), _beside(one))
        file = replace(file, name=plain_name(file.name))
        original = f"{ORIGINALS}/{file.name}"
        if original in files:
            raise UsageError(f"two files are called {file.name}; rename one of them")
        try:
            found, guesses = _tidied(file, _over_it(file))
        except UsageError as fault:
            if not isinstance(one, GivenFile):
                raise
            more.append(Guess(file.name, f"left out: {fault}", "please check", worth=70))
            continue
        tables += found
        more += guesses
        files[original] = file.data
        if file.origin:
            origins[file.name] = file.origin
    if not tables:
        raise UsageError(f"nothing to draft from: {more[0].about}: {more[0].what}")
    tables = [_with_sorts(table, tables, origins, more) for table in tables]
    tables = as_one(tables, origins)
    _few_enough(len(tables), "tables")
    made_plan = plan(name, tables, find_term)
    if report is not None:
        report = replace(report, claims=with_names(report.claims, made_plan))
    for table in made_plan.tables:
        data = files[table.file] = table.tidy.to_csv()
        if table.tidy.original in origins:
            names = {c.header.written: c.name for c in table.tidy.columns}
            told = retold(origins[table.tidy.original], table.file, data, names)
            files[sidecar_name(table.file)] = told
    where = {name: lifted_of(name, origin) for name, origin in origins.items()}
    said = _in_turn([*made_plan.guesses, *more])
    asked = [guess for guess in said if guess.sure == "please check"]
    noted_too = [guess for guess in said if guess.left_out]
    text = study_yaml(made_plan, where, report, asked, noted_too)
    files[DESCRIPTION] = text.encode("utf-8")
    return DraftedStudy(files, said, made_plan)


def _with_sorts(
    table: Tidy, tables: Sequence[Tidy], origins: dict[str, bytes], guesses: list[Guess]
) -> Tidy:
    """A report's table of readings with what another of its tables says each item is.

    Reports name each ball's model and finish once, and its readings elsewhere: a difference
    between finishes needs both in one file.  The other table has one row for each item.  The
    origin of the table, in ``origins``, tells it.
    """
    if table.original not in origins:
        return table
    added: list[Column] = []
    names = {c.name for c in table.columns}
    for other in tables:
        key = next((c for c in other.columns if c.name in names and not c.numeric), None)
        if other is table or other.original not in origins or key is None:
            continue
        own = table.column(key.name)
        if len(key.distinct) < len(key.cells) or not set(own.distinct) <= set(key.distinct):
            continue
        before = len(added)
        for column in other.columns:
            levels = len(column.distinct)
            if column.numeric or column.name in names or not 2 <= levels <= len(key.cells) // 2:
                continue
            by_item = dict(zip(key.cells, column.cells, strict=True))
            cells = tuple(by_item.get(item, "") for item in own.cells)
            added.append(replace(column, cells=cells, empty=()))
            names.add(column.name)
            guesses.append(Guess(f"{table.original}, column {column.name}",
                                 f"added from {other.original}, by {key.name}", "please check",
                                 ", ".join(column.distinct[:4]), 40))  # fmt: skip
        if new := [column.name for column in added[before:]]:
            place = lifted_of(other.original, origins[other.original])
            said = f"with {' and '.join(new)} from {place.what or 'a table'}, {place.on}"
            origins[table.original] = noted(origins[table.original], table.original, said)
    return replace(table, columns=(*table.columns, *added)) if added else table


def _in_turn(guesses: Sequence[Guess]) -> tuple[Guess, ...]:
    """Each guess once, what is to be checked first, and of that what most hangs on."""
    once = dict.fromkeys(guesses)
    return tuple(sorted(once, key=lambda g: (g.sure != "please check", -g.worth)))


def _few_enough(count: int, of: str) -> None:
    if count > MOST_TABLES:
        raise UsageError(
            f"found {count:,} {of}, expected at most {MOST_TABLES} in one study; draft from some "
            "of them; nothing was drafted"
        )


def _tidied(file: GivenFile, printed: str = "") -> tuple[list[Tidy], list[Guess]]:
    """Every table of a file, and what was guessed of the file as a whole.

    ``printed``: what a report calls it, for tables without a title.  Raises UsageError.
    """
    sheets, semicolons, guesses = _sheets(file)
    found: list[Tidy] = []
    faults: list[UsageError] = []
    for sheet in sheets:
        if not sheet.rows:
            guesses += sheet.guesses
            continue
        try:
            grids, more = grids_of(sheet, file.name, semicolons)
        except UsageError as fault:
            faults.append(fault)
            first = next((" ".join(filter(None, c)) for _, c in sheet.rows if any(c)), "")
            guesses += sheet.guesses
            about = f"{file.name}, sheet {sheet.name}"
            guesses.append(
                Guess(about, "no table found in it; left out", "please check", first[:60], 20)
            )
            continue
        guesses += more
        found += (tidy(replace(grid, title=grid.title or printed)) for grid in grids)
    if not found:
        raise faults[0] if faults else UsageError(f"{file.name} holds no table")
    if len(found) > 1:
        found = [replace(one, alone=False) for one in found]
    return found, guesses


#: A table's number at the head of its caption, and where what it holds has been named.
_NUMBERED = re.compile(
    r"^\W*(?:table|figure|fig\.?|chart)\s*[\w.-]*\d\w*\s*[.:–-]*\s*", re.IGNORECASE
)
_NAMED = re.compile(
    r"(?<!\s)\s+(?:of|by|for|per|at|on|in|from|since|after|before|as|with|over)\b|[,;.]\s|[.]$",
    re.IGNORECASE,
)


def _over_it(file: GivenFile) -> str:
    """What a report's caption says a table holds, with its unit: ``Hardness (Shore D)``."""
    if not file.origin:
        return ""
    caption = lifted_of(file.name, file.origin).caption or ""
    if not _NUMBERED.match(caption):
        return ""
    said = _NUMBERED.sub("", caption, count=1).strip()
    unit = re.search(r"\([^()]*\)", said)
    if unit is not None and parse(said[: unit.end()]).unit:
        return said[: unit.end()]
    return _NAMED.split(said, maxsplit=1)[0].strip()


def _sheets(file: GivenFile) -> tuple[list[RawSheet], bool, list[Guess]]:
    if is_workbook(file.data):
        return sheets_of_workbook(file.data, file.name), False, []
    text, guess = decode(file.data, file.name)
    guesses = [guess]
    if file.origin:
        text, marked = without_marks(text, file.name)
        if marked:
            shown = ", ".join(marked[:4])
            guesses.append(Guess(file.name, f"footnote marks taken off: {shown}", "please check"))
    mark, rows = parted(text, file.name)
    return [text_sheet(mark, rows, file.name)], mark == ";", guesses


def corrected(then: GivenFile, now: GivenFile, tidy_copy: bytes) -> bytes | None:
    """The tidy copy of a lifted file with the numbers of a newer lifting in their places.

    None where the copy is no longer what was made of ``then``: somebody edited it.
    """
    head, *body = csv.reader(io.StringIO(tidy_copy.decode("utf-8"), newline=""))
    made, new = (
        list(csv.reader(io.StringIO(_tidied(one)[0][0].to_csv().decode("utf-8"), newline="")))
        for one in (then, now)
    )  # fmt: skip
    wide = len(made[0])
    if [row[:wide] for row in body] != made[1:] or wide != len(new[0]):
        return None
    # What was added from another table goes along: row by row, else by what the row is of.
    added = [row[wide:] for row in body]
    if len(new) != len(made) and any(added):
        by_item = {row[0]: row[wide:] for row in body}
        if any(by_item[row[0]] != row[wide:] for row in body):
            return None
        added = [by_item.get(row[0], [""] * (len(head) - wide)) for row in new[1:]]
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(head)
    writer.writerows(
        [*row, *(added[n] if n < len(added) else ())] for n, row in enumerate(new[1:])
    )
    return out.getvalue().encode("utf-8")


def _beside(path: Path) -> bytes:
    """What stands beside a lifted CSV file: where it came from.  Empty for any other."""
    beside = path.with_name(sidecar_name(path.name))
    if not beside.is_file() or beside.stat().st_size > MAX_ORIGIN_BYTES:
        return b""
    return _read(beside)


def _read(path: Path) -> bytes:
    try:
        if not path.is_file():
            what = f"{path} is a folder" if path.is_dir() else f"no file {path}"
            raise UsageError(f"{what}; expected a CSV file")
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
