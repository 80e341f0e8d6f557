"""The house: seven stages, imports one way, files and functions of a size one can hold in mind."""

from __future__ import annotations

import ast
import re
import subprocess
from collections import Counter
from pathlib import Path

import pytest

pytestmark = pytest.mark.whole  # quick, and a rule of every file or row

ROOT = Path(__file__).parents[2]
PACKAGE = ROOT / "explainer"
#: What everybody may import.
COMMON = ("errors", "units", "confined")
STAGES = ("study", "analysis", "claims", "words", "charts", "editions", "publish")
#: Tools beside the stages, with the last stage each may read. Only the command line reads them.
TOOLS = {"draft": "study", "proof": "editions", "lift": "publish"}
SOURCES = sorted(PACKAGE.rglob("*.py"))
TOP = {
    "README.md", "DEVELOPERS.md", "pyproject.toml", "explainer", "glossary", "templates",
    "studies", "tests", "site",
}  # fmt: skip


def stage_of(path: Path) -> int | None:
    part = path.relative_to(PACKAGE).parts[0]
    part = TOOLS.get(part, part)
    return STAGES.index(part) if part in STAGES else None


def imports_of(path: Path) -> list[str]:
    """Every module of ours that a file imports, wherever in the file the import stands."""
    found = []
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found += [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path.name}: relative import"
            found += [f"{node.module}.{alias.name}" for alias in node.names]
    return [name for name in found if name.split(".")[0] == "explainer"]


@pytest.mark.parametrize("path", SOURCES, ids=lambda p: str(p.relative_to(PACKAGE)))
def test_a_stage_imports_only_from_earlier_stages(path: Path) -> None:
    here, room = stage_of(path), path.relative_to(PACKAGE).parts[0]
    for name in imports_of(path):
        part = name.split(".")[1] if "." in name else ""
        if part in STAGES:
            assert here is None or STAGES.index(part) <= here, f"{path.name} imports {name}"
        elif room in TOOLS:
            assert part in (room, *COMMON), f"{path.name} imports {name}"
        elif here is not None:
            assert part in (*COMMON, "__version__"), f"{path.name} imports {name}"


def test_the_walk_would_notice_an_import_the_wrong_way(tmp_path: Path) -> None:
    wrong = tmp_path / "wrong.py"
    wrong.write_text("def f():\n    from explainer.publish import build\n", encoding="utf-8")
    assert imports_of(wrong) == ["explainer.publish.build"]


def test_stage_folders_import_nothing_themselves() -> None:
    for room in (*STAGES, *TOOLS):
        assert imports_of(PACKAGE / room / "__init__.py") == []


@pytest.mark.parametrize("path", SOURCES, ids=lambda p: str(p.relative_to(PACKAGE)))
def test_files_and_functions_stay_small(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    assert text.count("\n") <= 600
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.FunctionDef):
            length = (node.end_lineno or node.lineno) - node.lineno + 1
            assert length <= 66, f"{path.name}: {node.name} has {length} lines"


def test_the_top_level_holds_only_what_was_agreed() -> None:
    listed = subprocess.run(
        ["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=False
    )
    if listed.returncode:
        pytest.skip("not a git checkout")
    names = {line.split("/")[0] for line in listed.stdout.splitlines()}
    assert {n for n in names if not n.startswith(".")} <= TOP


#: Circles between modules that still stand; the set may only shrink.
CIRCLES: set[frozenset[str]] = set()
#: Class names that still stand for two classes; the set may only shrink.
DOUBLES: set[str] = set()


def module_of(path: Path) -> str:
    return ".".join(path.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__")


def circles(arrows: dict[str, set[str]]) -> set[frozenset[str]]:
    """The groups of modules that reach themselves through what they import."""
    reach: dict[str, set[str]] = {}
    for name in arrows:
        seen: set[str] = set()
        waiting = [name]
        while waiting:
            new = arrows[waiting.pop()] - seen
            seen |= new
            waiting += new
        reach[name] = seen
    return {
        frozenset(other for other in reach[name] if name in reach[other])
        for name in arrows
        if name in reach[name]
    }


def test_no_modules_import_each_other_in_a_circle() -> None:
    names = {module_of(path) for path in SOURCES}
    arrows = {
        module_of(path): {
            name if name in names else name.rpartition(".")[0] for name in imports_of(path)
        }
        & names
        for path in SOURCES
    }
    assert circles(arrows) == CIRCLES


def test_a_circle_is_seen_however_long() -> None:
    assert circles({"a": {"b"}, "b": {"c"}, "c": {"a"}, "d": {"a"}}) == {frozenset("abc")}
    assert circles({"a": {"b"}, "b": {"c"}, "c": set()}) == set()


def test_a_class_name_stands_for_one_class() -> None:
    names = Counter(
        node.name
        for path in SOURCES
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.ClassDef)
    )
    assert {name for name, times in names.items() if times > 1} == DOUBLES


def test_whether_something_lies_inside_is_asked_in_one_place() -> None:
    """Each module that followed links its own way let another one through."""
    asks = []
    for path in SOURCES:
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            said = ast.unparse(node) if isinstance(node, ast.Call | ast.Compare) else ""
            follows = any(way in said for way in ("resolve(", "realpath(", "real."))
            if follows and (".is_relative_to(" in said or re.search(r"\.parents\b(?!\[)", said)):
                asks.append(path.relative_to(PACKAGE).as_posix())
    assert set(asks) == {"study/files.py"}
