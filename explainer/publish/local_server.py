"""A web server for this computer alone, in which nobody can keep the others waiting.

Everybody on the computer may connect, and all come from the same address, so no count for each of
them could tell who is who.  Instead there are so many connections at a time, and one that waits for
its browser (to ask, to send, to take) makes room for whoever comes next, the one that waits longest
first.  What is being worked out is never cut off.  Each step also has its seconds in all, however
small the pieces are in which a browser sends.
"""

from __future__ import annotations

import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from socket import SHUT_RDWR, socket
from typing import Any
from urllib.parse import SplitResult, unquote, urlsplit

from explainer.errors import UsageError, one_line

HOST = "127.0.0.1"
PORT = 8319
#: How many connections there may be at a time; as many again may still be ending.
MOST = 64
#: Seconds in all that a connection may say nothing, send the head of a request, send what comes
#: with it, and take the answer.
IDLE, HEAD, BODY, TAKING = 30.0, 10.0, 60.0, 120.0
#: Seconds a new connection waits for one that was ended to be gone.
ENDING = 2.0


@dataclass(eq=False)
class Connection:
    """A connection."""

    socket: socket
    since: float
    """When what it does now began, in seconds of the system's own clock."""
    until: float | None
    """When it has waited long enough; None while an answer is worked out."""
    ended: bool = False

    def end(self) -> None:
        """Wakes whoever reads from it or writes to it."""
        self.ended = True
        with suppress(OSError):
            self.socket.shutdown(SHUT_RDWR)


class HalfSent(Exception):
    """A request ended before what it said would come with it."""


class LocalHandler(BaseHTTPRequestHandler):
    """Answers on one connection, and says at each step whether it waits for the browser.

    Whatever is asked gets an answer, unless its connection was ended first.
    """

    server: LocalServer
    protocol_version = "HTTP/1.1"
    #: An older one, which a request without a version may speak, has answers without a status.
    default_request_version = "HTTP/1.0"
    sys_version = ""
    timeout = IDLE
    _answered = False

    def asked(self) -> SplitResult:
        """What was asked for; nothing at all where it is no address."""
        try:
            return urlsplit(self.path)
        except ValueError:
            return SplitResult("", "", "\0", "", "")

    @property
    def gone(self) -> bool:
        """Whether this connection was ended to make room."""
        return self.server.line_of(self.connection).ended

    def asked_here(self) -> bool:
        """Whether the request was addressed to this computer, once and to nothing else besides."""
        hosts = self.headers.get_all("Host", [])
        return len(hosts) == 1 and from_here(hosts[0])

    def waits(self, seconds: float) -> None:
        """From now on it waits for its browser, so long at most."""
        self.server.mark(self.connection, seconds)

    def handle_one_request(self) -> None:
        """The next question on this connection."""
        self.waits(IDLE)
        self._answered = False
        try:
            super().handle_one_request()
        except (ConnectionError, TimeoutError):
            raise
        except Exception as fault:
            self.close_connection = True
            if not isinstance(fault, HalfSent):
                told_of(fault)
            if not self._answered:
                self._headers_buffer: list[bytes] = []  # of an answer that was begun
                self.send_error(400 if isinstance(fault, HalfSent) else 500)

    def parse_request(self) -> bool:
        """Reads the head of a request."""
        self.waits(HEAD)
        sound = super().parse_request()
        if not sound and not self._answered:  # an empty line
            self.send_error(400)
        if sound and self.command != "POST" and self._brings():
            self.close_connection = True  # or it would be read as the next request
        self.server.mark(self.connection, None)
        return sound

    def _brings(self) -> bool:
        return any(self.headers.get(name, "0") != "0" for name in _COMING)

    def taken(self, length: int) -> bytes:
        """What comes with a request.  Raises HalfSent where it ends before that."""
        self.waits(BODY)
        body = self.rfile.read(length)
        self.server.mark(self.connection, None)
        if len(body) < length:
            raise HalfSent
        return body

    def flush_headers(self) -> None:
        """From the head of the answer on all that is left is to send it."""
        self._answered = True
        self.waits(TAKING)
        super().flush_headers()

    def log_message(self, format: str, *args: Any) -> None:
        """Requests are not worth a line each."""


class LocalServer(ThreadingHTTPServer):
    """One thread for each connection, and not more of them than browsers open."""

    daemon_threads = True
    block_on_close = False
    request_queue_size = 4 * MOST

    def __init__(self, *given: Any) -> None:
        self._lines: dict[Any, Connection] = {}
        self._lock = threading.Condition()
        super().__init__(*given)

    def line_of(self, connection: Any) -> Connection:
        """The connection with what it does now."""
        return self._lines[connection]

    def mark(self, connection: Any, seconds: float | None) -> None:
        """Notes that a connection waits so long at most, or, with None, is being answered.

        Raises ConnectionAbortedError where it was ended meanwhile: nothing begins for nobody.
        """
        with self._lock:
            line, now = self._lines[connection], time.monotonic()
            if line.ended:
                raise ConnectionAbortedError("ended to make room")
            line.since, line.until = now, None if seconds is None else now + seconds

    def service_actions(self) -> None:
        """Ends what has waited long enough; is called several times a second."""
        super().service_actions()
        with self._lock:
            now = time.monotonic()
            for line in self._lines.values():
                if line.until is not None and line.until < now and not line.ended:
                    line.end()

    def process_request(self, request: Any, client_address: Any) -> None:
        """Takes a connection; where all are taken, the one that waits longest makes room."""
        if not self._let_in(request):
            self.shutdown_request(request)
            return
        try:
            super().process_request(request, client_address)
        except BaseException:  # no thread could be started
            self._let_out(request)
            raise

    def _let_in(self, request: Any) -> bool:
        with self._lock:
            # Those that were ended need a moment to notice; who comes meanwhile waits in a queue.
            self._lock.wait_for(lambda: len(self._lines) < 2 * MOST, ENDING)
            held = [line for line in self._lines.values() if not line.ended]
            if len(held) >= MOST:
                waiting = [line for line in held if line.until is not None]
                if not waiting or len(self._lines) >= 2 * MOST:
                    return False
                min(waiting, key=lambda line: line.since).end()
            now = time.monotonic()
            self._lines[request] = Connection(request, now, now + IDLE)
            return True

    def _let_out(self, request: Any) -> None:
        with self._lock:
            self._lines.pop(request, None)
            self._lock.notify()

    def process_request_thread(self, request: Any, client_address: Any) -> None:
        try:
            super().process_request_thread(request, client_address)
        finally:
            self._let_out(request)

    def handle_error(self, request: Any, client_address: Any) -> None:
        """A browser that turns away is no fault; anything else is told in a line."""
        fault = sys.exception()
        if fault is not None and not isinstance(fault, ConnectionError | TimeoutError):
            told_of(fault)


#: Headers that say that something comes behind the head of a request.
_COMING = ("Content-Length", "Transfer-Encoding")


def told_of(fault: BaseException) -> None:
    """A fault of ours while a request was answered, in a line."""
    said = f"explainer: a request could not be answered ({type(fault).__name__}: {fault})"
    print(one_line(said), file=sys.stderr)


def file_of(address: str) -> str:
    """The place in a site, from its first / on, that an address gives; empty where it gives none.

    What begins with a dot, as our own record of a site does, is no page of it; half a character
    stands in no file's name; a backslash leads elsewhere on Windows.
    """
    try:
        name = unquote(address, errors="strict")
        name.encode()
    except UnicodeError:
        return ""
    sound = name.startswith("/") and "/." not in name and not {"\0", "\\"} & set(name)
    return name if sound else ""


@contextmanager
def running(handler: type[LocalHandler], port: int | None) -> Iterator[str]:
    """A server on loopback while the block runs; gives its address.  Raises UsageError."""
    server = _server(handler, port)
    thread = threading.Thread(target=server.serve_forever, args=(0.1,), daemon=True)
    thread.start()
    try:
        yield f"http://{HOST}:{server.server_address[1]}/"
    finally:
        server.shutdown()
        server.server_close()
        thread.join(5)


def from_here(host: str) -> bool:
    """Whether a request was addressed to this computer: a page elsewhere could borrow a name."""
    name, _, port = host.rpartition(":")
    return (name if port.isdecimal() else host) in (HOST, "localhost")


def _server(handler: type[LocalHandler], port: int | None) -> LocalServer:
    """A server on the port asked for, else on the first free one from ours on."""
    for candidate in (port,) if port is not None else range(PORT, PORT + 20):
        try:
            server = LocalServer((HOST, candidate), handler)
        except (OSError, OverflowError):
            continue
        return server
    raise UsageError(f"port {port or PORT} is taken; choose another with --port")
