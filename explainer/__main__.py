"""``python -m explainer`` is the command ``explainer``.

Python looks first in the folder one stands in, which may be a stranger's, for every module that
this program needs; so that folder is taken out again, unless it is where this program lies.
"""

import os
import sys
from pathlib import Path

HERE = Path(__file__).resolve().parents[1]


def _a_strangers(place: str) -> bool:
    """Whether it is the folder one stands in, and not ours."""
    try:
        return os.path.samefile(place or ".", os.curdir) and not os.path.samefile(place, HERE)
    except OSError:  # it is gone
        return not place


if __name__ == "__main__":
    if _a_strangers(sys.path[0]):
        del sys.path[0]
    from explainer.cli import main

    main()
