"""The reading desk: a local page on which one reads a pictured chart by hand.

The browser only shows the picture and where places were set; every number is worked out here.
Loopback only, as in rehearsal; a token in the page and the Origin header keep other pages out.
"""

from __future__ import annotations

import io
import json
import os
import re
import secrets
import threading
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from importlib.resources import files
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from explainer.editions.policy import hash_source
from explainer.errors import ExplainerError, OutputError
from explainer.lift.reading import (
    CameFrom,
    CannotRead,
    HandReading,
    Read,
    read_by_hand,
    reading_of,
    snapped,
)
from explainer.publish.local_server import LocalHandler, running
from explainer.study.description.lifted import ENDING, sidecar_name

# Files of one reading, added to a folder together, and never over another.

def add_files(folder: Path, files: Mapping[str, bytes]) -> str:
    """Writes a CSV file and its origin; gives the CSV's name, which may differ where it is taken.

    The origin is in place before the CSV is, so that no numbers lie there without one.  Raises
    OutputError.
    """
    csv = next(name for name in files if not name.endswith(ENDING))
    name, number = csv, 2
    while os.path.lexists(folder / name) or os.path.lexists(folder / sidecar_name(name)):
        name, number = f"{csv.removesuffix('.csv')}-{number}.csv", number + 1
    origin = files[sidecar_name(csv)].replace(f'file: "{csv}"'.encode(), f'file: "{name}"'.encode())
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for target, data in ((sidecar_name(name), origin), (name, files[csv])):
            part = folder / f".{target}.part"
            part.write_bytes(data)
            part.replace(folder / target)
    except OSError as fault:
        raise OutputError(f"cannot write {folder}: {fault.strerror or fault}") from fault
    return name


#: Bytes of a request: some ten thousand marks.
MOST_ASKED = 1_000_000
WAIT = 0.2

Save = Callable[[Mapping[str, bytes]], str]


@dataclass
class ReadingDesk:
    """What lies on the desk, and whether the reading was saved."""

    png: bytes
    source: CameFrom
    save: Save
    """Writes files by name and says where; raises ExplainerError."""
    token: str
    done: threading.Event

    def __post_init__(self) -> None:
        from PIL import Image

        with Image.open(io.BytesIO(self.png), formats=("PNG",)) as image:
            self.image: NDArray[np.uint8] = np.asarray(image.convert("RGB"))

    @property
    def page(self) -> bytes:
        """The page with its style and script inside and a policy that names both by hash."""
        room = files("explainer.lift") / "desk_page"
        html, css, script = (
            (room / name).read_text("utf-8") for name in ("desk.html", "desk.css", "desk.js")
        )
        policy = (
            "default-src 'none'; img-src 'self' data:; connect-src 'self'; base-uri 'none'; "
            f"form-action 'none'; style-src '{hash_source(css)}'; "
            f"script-src '{hash_source(script)}'"
        )
        height, width = self.image.shape[:2]
        filled = (
            html.replace("{{policy}}", policy).replace("{{token}}", self.token)
            .replace("{{width}}", str(width)).replace("{{height}}", str(height))
        )  # fmt: skip
        return filled.replace("{{css}}", css).replace("{{script}}", script).encode("utf-8")

    def answer(self, asked: str, given: Mapping[str, Any]) -> dict[str, Any]:
        """What the page asks for.  Raises CannotRead, and ExplainerError where saving fails."""
        if asked == "/snap":
            spot = _spot(given.get("at"))
            found = snapped(self.image, spot)
            return {"at": list(found) if found else None}
        reading = reading_of(given)
        read = read_by_hand(reading)
        if asked == "/read":
            return _shown(reading, read)
        where = self.save(self.source.files(reading, read))
        self.done.set()
        return {"saved": where, **_shown(reading, read)}


def _spot(value: Any) -> tuple[float, float]:
    try:
        x, y = (float(v) for v in value)
    except (TypeError, ValueError):
        raise CannotRead("a place is two numbers") from None
    if not (abs(x) < 1e6 and abs(y) < 1e6):
        raise CannotRead("a place far off the picture")
    return x, y


def _shown(reading: HandReading, read: Read) -> dict[str, Any]:
    """What was read, for the page: values, where they fall, what the grid looks like, errors."""
    return {
        "series": [
            {"name": s.name, "values": v.tolist(), "back": b.tolist()}
            for s, v, b in zip(reading.series, read.values, read.back, strict=True)
        ],
        "grid": [line.tolist() for line in read.grid],
        "error": list(read.error), "shared": list(read.shared),
        "repeated": list(read.repeated) if read.repeated else None,
        "told": read.told(reading),
    }  # fmt: skip


class DeskHandler(LocalHandler):
    """The page, its picture, and three questions."""

    desk: ReadingDesk
    server_version = "explainer-desk"

    def do_GET(self) -> None:
        """The page and the picture; nothing else is here."""
        if not self.asked_here():
            self._send(403, "text/plain", b"only this computer may look\n")
        elif self.path == "/":
            self._send(200, "text/html; charset=utf-8", self.desk.page)
        elif self.path == "/picture.png":
            self._send(200, "image/png", self.desk.png)
        else:
            self._send(404, "text/plain", b"nothing here\n")

    def do_POST(self) -> None:
        """A question of the page itself, in JSON; a stranger's is refused."""
        own = f"http://{self.headers.get('Host', '')}"
        length = self.headers.get("Content-Length", "")
        token = self.headers.get("X-Desk-Token", "")
        if (
            not self.asked_here()
            or self.headers.get("Origin", own) != own
            or not secrets.compare_digest(token.encode(), self.desk.token.encode())
        ):
            self.close_connection = True
            self._send(403, "text/plain", b"only the desk's own page may ask\n")
        elif not re.fullmatch(r"[0-9]{1,12}", length) or int(length) > MOST_ASKED:
            self.close_connection = True
            self._tell(413, {"fault": "too much was asked at once"})
        elif self.path not in ("/snap", "/read", "/save"):
            self.taken(int(length))
            self._tell(404, {"fault": "nothing here"})
        else:
            self._answer(self.taken(int(length)))

    def _answer(self, body: bytes) -> None:
        try:
            given = json.loads(body)
            if not isinstance(given, dict):
                raise CannotRead("a question is a block of keys")
            self._tell(200, self.desk.answer(self.path, given))
        except (CannotRead, ExplainerError) as fault:
            self._tell(200, {"fault": str(fault)})  # an answer: what is still missing
        except (ValueError, ArithmeticError, RecursionError, np.linalg.LinAlgError):
            self._tell(422, {"fault": "that cannot be read; set the places again"})

    def _tell(self, status: int, answer: Mapping[str, Any]) -> None:
        try:
            body = json.dumps(answer, allow_nan=False).encode()
        except ValueError:
            status, body = 422, b'{"fault": "that gives no number; look at the axes"}'
        self._send(status, "application/json", body)

    def _send(self, status: int, kind: str, body: bytes) -> None:
        try:
            self.send_response(status)
            for name, value in (
                ("Content-Type", kind), ("Content-Length", str(len(body))),
                ("Cache-Control", "no-store"), ("X-Content-Type-Options", "nosniff"),
                ("Referrer-Policy", "no-referrer"), ("X-Frame-Options", "DENY"),
            ):  # fmt: skip
                self.send_header(name, value)
            self.end_headers()
            self.wfile.write(body)
        except (BrokenPipeError, ConnectionResetError):
            self.close_connection = True


def sit_down(
    png: bytes, source: CameFrom, save: Save, port: int | None, tell: Callable[[str], None],
    stop: threading.Event | None = None,
) -> bool:  # fmt: skip
    """Serves the desk until a reading is saved, ``stop`` is set or Ctrl-C; whether one was.

    Raises UsageError where the port is taken.
    """
    saved, stop = threading.Event(), stop or threading.Event()
    desk = ReadingDesk(png, source, save, secrets.token_urlsafe(24), saved)
    handler = type("DeskHandler", (DeskHandler,), {"desk": desk})
    with running(handler, port) as address:
        tell(f"reading desk: {address} (it ends when you save; Ctrl-C ends it)")
        try:
            while not saved.is_set() and not stop.is_set():
                saved.wait(WAIT)
            stop.wait(WAIT)  # the page gets its answer before the desk goes
        except KeyboardInterrupt:
            pass
    return saved.is_set()
