"""Lets the tests of this folder import ``makers``, ``layouts`` and ``measured``, which draw."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))

for library in ("pypdfium2", "pdfplumber"):
    pytest.importorskip(library, reason="reading PDFs needs the extra: pip install -e .[lift]")


@pytest.fixture
def saved(tmp_path):
    """Writes bytes as a file and gives its path."""

    def write(data: bytes, name: str = "report.pdf") -> Path:
        path = tmp_path / name
        path.write_bytes(data)
        return path

    return write
