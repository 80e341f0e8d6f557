"""What a form sends: its fields and files, in either of the two ways browsers send them.

Browsers put each part between two boundaries, with a head of a few lines and its bytes as they are
(RFC 7578).  The library's reader of mail takes far more than that, parts inside of parts and heads
of any length, and minutes for it; so parts are cut here, and it reads their heads alone.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from email.message import Message
from email.parser import Parser
from email.policy import HTTP
from urllib.parse import parse_qsl

#: Fields and files of a form: each field that is changed has the whole text read again.  Our
#: largest has a third.
MOST_PARTS = 3_000
#: Bytes of the head of a part: the name of a field, or of a file.
MOST_HEAD = 12_000


class TooMuch(ValueError):
    """More than any page of ours sends; its text says of what."""


@dataclass(frozen=True)
class Asking:
    """What came with a form."""

    fields: Mapping[str, str] = field(default_factory=dict)
    files: tuple[tuple[str, bytes], ...] = ()

    def get(self, name: str) -> str:
        return self.fields.get(name, "")


def form_of(kind: str, body: bytes) -> Asking:
    """The fields and files that came with a content type ``kind``.  Raises TooMuch."""
    if not kind.startswith("multipart/form-data"):
        text = body.decode("utf-8", "replace")
        try:
            return Asking(dict(parse_qsl(text, keep_blank_values=True, max_num_fields=MOST_PARTS)))
        except ValueError:
            raise TooMuch("fields") from None
    fields, given = {}, []
    for head, content in _parts(kind, body):
        try:
            name, file = head.get_param("name", "", "content-disposition"), head.get_filename()
        except RecursionError:  # comments within comments
            raise TooMuch("words about a file") from None
        if file is None:
            fields[str(name)] = content.decode("utf-8", "replace")
        elif file:
            given.append((str(file), content))
    return Asking(fields, tuple(given))


def _parts(kind: str, body: bytes) -> Iterator[tuple[Message, bytes]]:
    """The head of each part, and its bytes."""
    boundary = _head(f"Content-Type: {kind[:MOST_HEAD]}").get_boundary()
    if not boundary:
        return
    pieces = (b"\r\n" + body).split(b"\r\n--" + boundary.encode(), MOST_PARTS + 2)
    if len(pieces) > MOST_PARTS + 2:  # what stands before the first part, and after the last
        raise TooMuch("fields and files")
    for piece in pieces[1:]:
        if piece.startswith(b"--"):
            return
        head, parted, content = piece.partition(b"\r\n\r\n")
        if len(head) > MOST_HEAD:
            raise TooMuch("words about a file")
        if parted:
            yield _head(head.decode("utf-8", "replace").lstrip()), content


def _head(text: str) -> Message:
    return Parser(policy=HTTP).parsestr(text, headersonly=True)
