"""Seeded mutation testing: does a test notice when the code says something else?

    python tests/mutation.py --folder analysis --mutants 60 --seed 1 --workers 2

Each mutant is one small change (an operator, a boundary, a constant, a dropped ``not``, two
arguments swapped, a ``return`` of nothing) in a copy of the project in a temporary folder; the
checkout is never written to.  The folder's quick tests run against it, those that name the
changed module first, until one fails: then the mutant is *killed*.  One that outlives its time is
killed as well, since a loop that never ends is noticed.  What *survived* is printed last, with its
place.  A survivor is either a test that is missing or a change without a difference; only reading
tells which.  A script, not part of ``run.sh``: sixty mutants take some ten minutes.
"""

from __future__ import annotations

import argparse
import ast
import copy
import os
import random
import shutil
import signal
import subprocess
import sys
import tempfile
from collections.abc import Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from queue import Queue

ROOT = Path(__file__).resolve().parents[1]
PACKAGE = "explainer"
#: What tests read beside the package.  ``site`` is only read, and large: a link will do.
COPIED = (PACKAGE, "tests", "glossary", "templates", "studies", "pyproject.toml")
#: Tests of a folder that stand elsewhere; publishing whole sites is not quick and is left out.
ALSO: dict[str, tuple[str, ...]] = {
    "analysis": ("reference/*_published.py", "claims/test_kept_numbers.py"),
    "claims": ("house/test_claim_kinds.py", "house/test_figure_kinds.py",
               "reference/test_further_kinds_published.py"),
    "charts": ("house/test_figure_kinds.py", "editions/test_share_cards.py",
               "editions/test_script_screen.py", "words/test_board.py"),
    "words": ("house/test_claim_kinds.py",),
    "editions": ("publish/hostile/test_press.py",),
    "study": ("editions/test_script_retimed.py", "publish/test_people_in_texts.py"),
}  # fmt: skip

OPERATORS: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult, ast.Pow: ast.Mult,
    ast.FloorDiv: ast.Mult, ast.Mod: ast.Mult, ast.BitAnd: ast.BitOr, ast.BitOr: ast.BitAnd,
}  # fmt: skip
COMPARISONS: dict[type[ast.cmpop], tuple[type[ast.cmpop], ...]] = {
    ast.Lt: (ast.LtE, ast.GtE), ast.LtE: (ast.Lt, ast.Gt), ast.Gt: (ast.GtE, ast.LtE),
    ast.GtE: (ast.Gt, ast.Lt), ast.Eq: (ast.NotEq,), ast.NotEq: (ast.Eq,),
    ast.Is: (ast.IsNot,), ast.IsNot: (ast.Is,), ast.In: (ast.NotIn,), ast.NotIn: (ast.In,),
}  # fmt: skip
OTHER_CALL = {"min": "max", "max": "min", "any": "all", "all": "any", "ceil": "floor",
              "floor": "ceil"}  # fmt: skip
#: The order of what they are given makes no difference.
SYMMETRIC = {"min", "max", "hypot", "minimum", "maximum", "isclose"}
#: No behaviour in there: types, decorators, and the wording of an error.
UNSEEN = {"annotation", "returns", "decorator_list", "type_params"}


@dataclass(frozen=True)
class Mutant:
    """One change: where, what stood there, what stands there now, and the module with it."""

    file: Path
    line: int
    before: str
    after: str
    around: str
    """The line of the source, since "1 -> 2" alone says little."""
    source: str

    def __str__(self) -> str:
        return f"{self.file}:{self.line}: {self.before}  ->  {self.after}   in: {self.around}"


def sites(node: ast.AST) -> Iterator[ast.AST]:
    """Every node that does something, in the order of the source."""
    yield node
    if isinstance(node, (ast.Raise, ast.JoinedStr)):
        return
    for name, value in ast.iter_fields(node):
        if name in UNSEEN:
            continue
        for child in value if isinstance(value, list) else [value]:
            if isinstance(child, ast.AST):
                yield from sites(child)


def changes(node: ast.AST) -> Iterator[ast.AST]:  # noqa: C901  (a row for each form of code)
    """What could stand in a node's place."""
    match node:
        case ast.BinOp(op=op) | ast.AugAssign(op=op) if type(op) in OPERATORS:
            yield _with(node, op=OPERATORS[type(op)]())
        case ast.Compare(ops=ops):  # also a chain, such as low <= value <= high
            for at, op in enumerate(ops):
                for other in COMPARISONS[type(op)]:
                    yield _with(node, ops=[*ops[:at], other(), *ops[at + 1 :]])
        case ast.BoolOp(op=op):
            yield _with(node, op=ast.Or() if isinstance(op, ast.And) else ast.And())
        case ast.UnaryOp(op=ast.Not() | ast.USub(), operand=operand):
            yield operand
        case ast.Constant(value=value):
            yield from map(ast.Constant, _other_values(value))
        case ast.IfExp() | ast.If() | ast.While():
            yield _with(node, test=ast.UnaryOp(ast.Not(), node.test))
        case ast.Return(value=ast.expr() as value) if not _is_none(value):
            yield _with(node, value=ast.Constant(None))
        case ast.Call():
            yield from _other_calls(node)


def _other_values(value: object) -> list[bool | int | float]:
    match value:
        case bool():
            return [not value]
        case int():
            return [value + 1, value - 1]
        case float():
            return [value * 1.1, value * 0.9] if value else [0.1]
    return []


def _other_calls(node: ast.Call) -> Iterator[ast.AST]:
    name = node.func.id if isinstance(node.func, ast.Name) else getattr(node.func, "attr", "")
    if name in OTHER_CALL and isinstance(node.func, ast.Name):
        yield _with(node, func=ast.Name(OTHER_CALL[name]))
    if name in ("abs", "sorted") and len(node.args) == 1:
        yield node.args[0]
    if len(node.args) >= 2 and name not in SYMMETRIC:
        first, second, *rest = node.args
        if not isinstance(second, ast.Starred) and ast.dump(first) != ast.dump(second):
            yield _with(node, args=[second, first, *rest])


def _with(node: ast.AST, **fields: object) -> ast.AST:
    new = copy.copy(node)
    for name, value in fields.items():
        setattr(new, name, value)
    return new


def _is_none(node: ast.expr) -> bool:
    return isinstance(node, ast.Constant) and node.value is None


class _Replace(ast.NodeTransformer):
    def __init__(self, old: ast.AST, new: ast.AST) -> None:
        self.old, self.new = old, new

    def visit(self, node: ast.AST) -> ast.AST:
        return self.new if node is self.old else super().visit(node)


def places(text: str) -> list[tuple[int, int]]:
    """Every change to be made in a module, as (which node, which of its changes)."""
    nodes = enumerate(sites(ast.parse(text)))
    return [(at, number) for at, node in nodes for number, _ in enumerate(changes(node))]


def mutant(file: Path, text: str, place: tuple[int, int]) -> Mutant:
    """The module with the change at one of its ``places``; ``file`` within the project."""
    tree = ast.parse(text)
    old = list(sites(tree))[place[0]]
    new = list(changes(old))[place[1]]
    line = getattr(old, "lineno", 1)
    before, after, around = _brief(old), _brief(new), text.splitlines()[line - 1].strip()
    source = ast.unparse(ast.fix_missing_locations(_Replace(old, new).visit(tree)))
    return Mutant(file, line, before, after, around, source)


def _brief(node: ast.AST) -> str:
    text = ast.unparse(node).splitlines()[0]
    return text if len(text) <= 90 else text[:87] + "..."


def choose(root: Path, folder: str, count: int, seed: int) -> list[Mutant]:
    """``count`` mutants of the folder's modules, every one as likely, the same for one seed."""
    found: list[tuple[Path, str, tuple[int, int]]] = []
    for path in sorted((root / PACKAGE / folder).rglob("*.py")):
        text = path.read_text("utf-8")
        found += [(path.relative_to(root), text, place) for place in places(text)]
    chosen = random.Random(seed).sample(found, min(count, len(found)))
    return [mutant(*one) for one in chosen]


def tests_of(root: Path, folder: str) -> list[Path]:
    """The folder's test files, as paths within the project."""
    found = sorted((root / "tests" / folder).rglob("test_*.py"))
    for pattern in ALSO.get(folder, ()):
        found += sorted((root / "tests").glob(pattern))
    return [path.relative_to(root) for path in found]


def in_order(root: Path, tests: Sequence[Path], module: Path) -> list[Path]:
    """Those first that name the changed module, then those that keep what all of them find."""
    name = f"{module.parent.name}.{module.stem}"
    loose = f"{module.parent.name} import {module.stem}"

    def names_it(path: Path) -> bool:
        text = (root / path).read_text("utf-8")
        return name in text or loose in text

    return sorted(tests, key=lambda path: (not names_it(path), "kept" not in path.stem))


def run_tests(home: Path, tests: Sequence[Path], seconds: float) -> bool:
    """True where all tests pass in time."""
    command = [
        sys.executable, "-m", "pytest", "-q", "-x", "--tb=no", "-p", "no:cacheprovider",
        "--every", "-m", "not slow", *map(str, tests),
    ]  # fmt: skip
    # No .pyc: a mutant written within one second of the last would be taken for it.
    surroundings = os.environ | {
        "PYTHONPATH": str(home), "PYTHONDONTWRITEBYTECODE": "1", "OPENBLAS_NUM_THREADS": "1",
    }  # fmt: skip
    process = subprocess.Popen(
        command, cwd=home, env=surroundings, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
        start_new_session=True,
    )  # fmt: skip
    try:
        return process.wait(seconds) == 0
    except subprocess.TimeoutExpired:
        # The test may have started processes of its own; they share its group.
        os.killpg(process.pid, signal.SIGKILL)
        process.wait()
        return False


def copy_of(root: Path, home: Path) -> Path:
    """The project in a folder where it may be damaged."""
    for name in COPIED:
        source = root / name
        if source.is_dir():
            shutil.copytree(source, home / name, ignore=shutil.ignore_patterns("__pycache__"))
        elif source.exists():
            shutil.copy2(source, home / name)
    if (root / "site").is_dir():
        (home / "site").symlink_to(root / "site")
    return home


def survives(home: Path, one: Mutant, tests: Sequence[Path], seconds: float) -> bool:
    """True where no test notices; the copy is whole again afterwards."""
    path = home / one.file
    whole = path.read_text("utf-8")
    path.write_text(one.source, "utf-8")
    try:
        return run_tests(home, in_order(home, tests, one.file), seconds)
    finally:
        path.write_text(whole, "utf-8")


def try_all(
    root: Path, mutants: Sequence[Mutant], tests: Sequence[Path], workers: int, seconds: float
) -> Iterator[tuple[Mutant, bool]]:
    """Each mutant and whether it survived, in order.  RuntimeError where a test fails without."""
    with tempfile.TemporaryDirectory(prefix="mutants-") as temporary:
        homes: Queue[Path] = Queue()
        for number in range(workers):
            homes.put(copy_of(root, Path(temporary, str(number))))
        first = homes.get()
        if not run_tests(first, tests, seconds):
            raise RuntimeError("the tests fail, or take too long, without any mutant")
        homes.put(first)

        def judge(one: Mutant) -> tuple[Mutant, bool]:
            home = homes.get()
            try:
                return one, survives(home, one, tests, seconds)
            finally:
                homes.put(home)

        with ThreadPoolExecutor(workers) as pool:
            yield from pool.map(judge, mutants)


def main(arguments: Sequence[str] | None = None) -> int:
    """Prints each mutant's fate and the share killed; 0 where that is at least ``--least``."""
    parser = argparse.ArgumentParser(description="Seeded mutation testing of one stage.")
    parser.add_argument("--root", type=Path, default=ROOT)
    parser.add_argument("--folder", default="analysis", help="a stage: analysis, claims, words, …")
    parser.add_argument("--mutants", type=int, default=60)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--workers", type=int, default=2)
    parser.add_argument("--seconds", type=float, default=180, help="the most for one mutant")
    parser.add_argument("--least", type=float, default=0, help="per cent to be killed")
    told = parser.parse_args(arguments)
    root = told.root.resolve()
    chosen = choose(root, told.folder, told.mutants, told.seed)
    tests = tests_of(root, told.folder)
    if not chosen or not tests:
        parser.error(f"nothing to mutate, or no tests, for {told.folder}")
    survivors = []
    for one, survived in try_all(root, chosen, tests, told.workers, told.seconds):
        print("survived" if survived else "killed  ", one, flush=True)
        if survived:
            survivors.append(one)
    killed = len(chosen) - len(survivors)
    share = 100 * killed / len(chosen)
    print(f"\n{told.folder}, seed {told.seed}: {killed} of {len(chosen)} killed ({share:.0f}%)")
    for one in survivors:
        print("  survived", one)
    return 0 if share >= told.least else 1


if __name__ == "__main__":
    sys.exit(main())
