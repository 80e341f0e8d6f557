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
IMPORTED_AS = {"markdown-it-py": "markdown_it", "pillow": "PIL", "ruamel.yaml": "ruamel"}


def test_the_package_imports_exactly_what_it_lists():
    listed = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]["dependencies"]
    names = [re.split(r"[\[<>=~!]", line)[0] for line in listed]
    imported: set[str] = set()
    for path in (ROOT / "explainer").rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            if isinstance(node, ast.Import):
                imported |= {alias.name.split(".")[0] for alias in node.names}
            elif isinstance(node, ast.ImportFrom) and node.module:
                imported.add(node.module.split(".")[0])
    # _typeshed is the type checker's own and never imported when running.
    foreign = imported - sys.stdlib_module_names - {"explainer", "_typeshed"}
    assert foreign == {IMPORTED_AS.get(name, name) for name in names}


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
