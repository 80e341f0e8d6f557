"""Python of ours in a process of its own, which finds nothing in the folder one stands in.

That folder may be a stranger's workspace, and Python as it comes looks there first: a
``multiprocessing.py`` in it would be run in place of Python's own.
"""

from __future__ import annotations

import os
import sys
from pathlib import Path

#: What says so to a Python that a library starts for us (``PYTHONSAFEPATH``, Python 3.11).
_SAFE = "PYTHONSAFEPATH"
_HOME = Path(__file__).resolve().parents[2]


def python_of_ours(module: str) -> list[str]:
    """The command that runs ``main`` of one of our modules, as this very program has it.

    The folder that holds us is where this package is found, and nothing else is.
    """
    code = (
        f"import sys; sys.path.insert(0, {str(_HOME)!r}); import explainer; del sys.path[0]; "
        f"from {module} import main; main()"
    )
    return [sys.executable, "-P", "-c", code]


def only_ours() -> None:
    """From here on every Python that is started for us looks nowhere it was not installed to."""
    os.environ[_SAFE] = "1"
