"""The code that leads from paper to a page (QR, ISO/IEC 18004), drawn by segno."""

from __future__ import annotations

from base64 import b64encode
from dataclasses import dataclass
from io import BytesIO

import segno

#: Modules of white around a code (ISO/IEC 18004, 6.3.8).
QUIET = 4


@dataclass(frozen=True)
class Code:
    """A code as an SVG in a data: URL, with its quiet zone, and how large that is to be set."""

    image: str
    side: float
    """Side in millimetres, quiet zone included."""
    quiet: float
    """Width of the quiet zone in millimetres."""


def qr_code(address: str, side: float) -> Code:
    """``address`` as a code whose dark square is ``side`` millimetres wide.

    Level M keeps it readable with 15% of it worn or smudged; where a higher level needs no more
    modules, it is taken.
    """
    out = BytesIO()
    code = segno.make_qr(address, error="m", boost_error=True)
    code.save(out, kind="svg", border=QUIET, light="#fff", xmldecl=False, svgns=True, nl=False)
    modules = code.symbol_size(border=0)[0]
    quiet = QUIET * side / modules
    image = "data:image/svg+xml;base64," + b64encode(out.getvalue()).decode("ascii")
    return Code(image, round(side + 2 * quiet, 2), round(quiet, 2))
