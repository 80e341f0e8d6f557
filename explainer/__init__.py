"""From a bowling equipment study (CSV and YAML) to an explainer: seven stages, one direction.

read (``study``) → reanalyse (``analysis``) → judge (``claims``) → say (``words``)
→ draw (``charts``) → render (``editions``) → publish (``publish``).

Python may look in the folder one stands in, which may be a stranger's, for every module that this
program needs; so that folder is taken out again, unless it is where this program lies.
"""

import os
import sys

__version__ = "0.1.0"

#: The folder that this package lies in.
HERE = os.path.dirname(os.path.dirname(os.path.realpath(__file__)))


def _a_strangers(place: str) -> bool:
    """Whether it is the folder one stands in, and not ours."""
    at = place or os.curdir
    try:
        return os.path.samefile(at, os.curdir) and not os.path.samefile(at, HERE)
    except OSError:  # it is gone
        return not place


sys.path[:] = [place for place in sys.path if not _a_strangers(place)]
