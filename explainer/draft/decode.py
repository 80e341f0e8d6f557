"""The text of a file, whatever a spreadsheet wrote it in."""

from __future__ import annotations

from explainer.draft.guess import Guess
from explainer.errors import UsageError

_MARKS = (
    (b"\xef\xbb\xbf", "utf-8-sig", "UTF-8"),
    (b"\xff\xfe", "utf-16", "UTF-16"),
    (b"\xfe\xff", "utf-16", "UTF-16"),
)


def decode(data: bytes, file: str) -> tuple[str, Guess]:
    """The text in ``data`` and what was guessed of its encoding.

    Raises UsageError for a spreadsheet file, for anything binary, and for an empty file.
    """
    if data.startswith((b"PK\x03\x04", b"\xd0\xcf\x11\xe0")):
        raise UsageError(f"{file} is a spreadsheet file, not CSV; save the sheet as CSV first")
    for mark, codec, name in _MARKS:
        if data.startswith(mark):
            try:
                return _plain(data.decode(codec), file), Guess(file, f"text in {name}", "sure")
            except UnicodeDecodeError:
                raise UsageError(f"{file} begins as {name} and is not; save it again") from None
    wide = _wide(data)
    if wide:
        text = data.decode(wide, "replace")
        return _plain(text, file), Guess(file, "text in UTF-16", "likely", "no mark says so")
    try:
        text, name = data.decode("utf-8"), "UTF-8"
    except UnicodeDecodeError:
        text, name = _old(data)
    return _plain(text, file), Guess(
        file, f"text in {name}", "sure" if name == "UTF-8" else "likely"
    )


def _wide(data: bytes) -> str:
    """UTF-16 without a mark: every other byte of Western text is zero."""
    head = data[:4000]
    if len(head) < 4 or len(data) % 2:
        return ""
    even, odd = head[0::2].count(0), head[1::2].count(0)
    half = len(head) // 2
    return "utf-16-le" if odd > 0.7 * half else "utf-16-be" if even > 0.7 * half else ""


def _old(data: bytes) -> tuple[str, str]:
    try:
        return data.decode("cp1252"), "Windows-1252"
    except UnicodeDecodeError:
        return data.decode("latin-1"), "Latin-1"


def _plain(text: str, file: str) -> str:
    if "\0" in text:
        raise UsageError(f"{file} holds binary data; expected a CSV file")
    if not text.strip():
        raise UsageError(f"{file} is empty; expected a header and rows")
    return text.replace("\r\n", "\n").replace("\r", "\n")
