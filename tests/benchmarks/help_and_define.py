"""How soon the quick commands answer, and which heavy modules they pull in.

.venv/bin/python tests/benchmarks/help_and_define.py
"""

from __future__ import annotations

import subprocess
import sys

from measure import medians, report

HEAVY = (
    "pandas", "numpy", "scipy", "matplotlib", "weasyprint", "statsmodels", "pint", "pydantic",
    "jinja2", "ruamel", "markdown_it", "PIL", "fontTools",
)  # fmt: skip
COMMANDS = {
    "explainer --help": ["--help"],
    "explainer define hook": ["define", "hook"],
    "explainer define, no such term": ["define", "zzz"],
}
LOADED = """
import sys
from explainer.cli import main
try:
    main({arguments!r})
except SystemExit:
    pass
print(*sorted({{name.partition('.')[0] for name in sys.modules}} & set({heavy!r})), file=sys.stderr)
"""


def heavy(arguments: list[str]) -> str:
    """Of the modules that take long to import, those a command has loaded when it ends."""
    code = LOADED.format(arguments=arguments, heavy=HEAVY)
    ended = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True)
    return ended.stderr.strip().splitlines()[-1] if ended.stderr.strip() else "none"


def main() -> None:
    told = {"python -c pass": [sys.executable, "-c", "pass"]}
    told |= {
        name: [sys.executable, "-m", "explainer", *a]
        for name, a in COMMANDS.items()
        if "no such" not in name
    }
    report(medians(told, 7))
    print()
    for name, arguments in COMMANDS.items():
        print(f"{name:44}loads {heavy(arguments)}")


if __name__ == "__main__":
    main()
