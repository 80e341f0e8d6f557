"""Publishing installs what it imports and nothing else; numbers need no statistics package."""

from __future__ import annotations

import ast
import re
import subprocess
import sys
import tomllib
from pathlib import Path

ROOT = Path(__file__).parents[2]
#: Where a package is installed under another name than it is imported by.
IMPORTED_AS = {
    "markdown-it-py": "markdown_it", "pillow": "PIL", "pyyaml": "yaml", "ruamel.yaml": "ruamel",
}  # fmt: skip


def names_in(listed: list[str]) -> set[str]:
    bare = [re.split(r"[\[<>=~!]", line)[0] for line in listed]
    return {IMPORTED_AS.get(name, name) for name in bare}


def foreign_to(folders: list[Path]) -> set[str]:
    """The libraries that the Python files below these folders import."""
    imported: set[str] = set()
    for path in (p for folder in folders for p in folder.rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            if isinstance(node, ast.Import):
                imported |= {alias.name.split(".")[0] for alias in node.names}
            elif isinstance(node, ast.ImportFrom) and node.module:
                imported.add(node.module.split(".")[0])
    # _typeshed is the type checker's own and never imported when running.
    return imported - sys.stdlib_module_names - {"explainer", "_typeshed"}


def test_the_package_imports_exactly_what_it_lists():
    """What only the extra `lift` brings is imported by that tool alone, and what `kit` brings
    where films are made."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]
    needed = names_in(project["dependencies"])
    extra = names_in(project["optional-dependencies"]["lift"])
    films = names_in(project["optional-dependencies"]["kit"])
    rooms = [p for p in (ROOT / "explainer").iterdir() if p.is_dir()]
    rest = foreign_to([p for p in rooms if p.name != "lift"])
    for path in (ROOT / "explainer").glob("*.py"):
        tree = ast.walk(ast.parse(path.read_text("utf-8")))
        rest |= {a.name.split(".")[0] for n in tree if isinstance(n, ast.Import) for a in n.names}
        assert not {name for name in extra if f"import {name}" in path.read_text("utf-8")}
    assert rest - sys.stdlib_module_names - {"explainer"} == needed | films
    importers = {
        path.name for path in (ROOT / "explainer").rglob("*.py")
        if any(f"import {name}" in path.read_text("utf-8") for name in films)
    }  # fmt: skip
    assert importers == {"film.py"}
    assert foreign_to([ROOT / "explainer" / "lift"]) - needed == extra


def test_the_tests_bring_what_the_extras_need():
    extras = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]
    extras = extras["optional-dependencies"]
    assert {*extras["lift"], *extras["kit"]} <= set(extras["test"])


def test_the_numbers_load_no_statistics_package():
    """Both take most of a second to import, which is more than weighing a study takes."""
    modules = sorted(path.stem for path in (ROOT / "explainer" / "analysis").glob("[a-z]*.py"))
    imports = "\n".join(f"import explainer.analysis.{name}" for name in modules)
    done = subprocess.run(
        [sys.executable, "-c", f"{imports}\nimport sys; print(*sys.modules)"],
        cwd=ROOT, capture_output=True, text=True, check=True,
    )  # fmt: skip
    loaded = set(done.stdout.split())
    assert "scipy.special" in loaded
    assert not loaded & {"scipy.stats", "scipy.optimize", "statsmodels", "patsy"}
