"""Lets the tests of this folder import ``samples``, the figures made up by formula."""

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))
