"""What anybody on this computer may ask the preview server: an answer or silence, no traceback."""

from __future__ import annotations

import io
import socket
import threading
from contextlib import ExitStack, contextmanager, suppress
from http.client import HTTPConnection
from types import SimpleNamespace

import pytest
from PIL import Image

from explainer.lift.desk import sit_down
from explainer.lift.reading import CameFrom
from explainer.lift.written import ReportFile
from explainer.publish import local_server, preview_server
from explainer.publish.local_server import HOST, MOST, LocalHandler, running
from explainer.publish.manifest import NAME
from explainer.publish.preview_server import serving
from explainer.room.server import open_room


@pytest.fixture
def port(tmp_path):
    (tmp_path / "index.html").write_text("<!doctype html><title>t</title><body>here")
    (tmp_path / "half.html").write_bytes(b"<body>\xff\xfe")  # somebody else's, and no UTF-8
    (tmp_path / NAME).write_text("{}")
    stage = SimpleNamespace(
        site=tmp_path, version=3, problems={}, names=frozenset(), paper=lambda *given: None,
        newer_than=lambda seen, timeout: 3,
    )  # fmt: skip
    with serving(stage, 0) as address:
        yield int(address.rsplit(":", 1)[1].strip("/"))


def asked(port: int, request: bytes) -> bytes:
    """What comes back until the server ends the connection."""
    with socket.create_connection((HOST, port), timeout=60) as line:
        line.sendall(request)
        line.shutdown(socket.SHUT_WR)
        answer = b""
        while piece := line.recv(65_536):
            answer += piece
    return answer


def get(path: str) -> bytes:
    return f"GET {path} HTTP/1.1\r\nHost: localhost\r\nConnection: close\r\n\r\n".encode()


PATHS = [
    "/%00", "/a%00.html", "/%00/", "/one/%00.pdf", "/rehearsal-news?seen=²",
    "/rehearsal-news?seen=٣", "/rehearsal-news?seen=" + "9" * 5_000, "/rehearsal-news?seen=-1",
    "/rehearsal-news?seen=1e9", "/rehearsal-news?seen=", "/rehearsal-news?" + "a&" * 5_000, "//",
    "///etc/passwd", "/../../etc/passwd", "/%2e%2e/%2e%2e/etc/passwd", "/..%2f..%2fetc/passwd",
    "/a\\..\\b.html", "/%ff%fe.html", "/%", "/%zz.html", "http://[", "http://[::1",
    "/" + "a" * 30_000, "/" + "%41" * 9_000 + ".html", "/?" + "x" * 40_000, "/\u202e.html",
    "/index.html/", "/index.html/x", "/.explainer.json", "*", "a", "/;x.html", "/#.html",
    "/%ed%a0%80", "/a%ed%b0%80.html", "/%ed%a0%80/", "/\xed\xa0\x80", "http://localhost/", "http://[x]/",
    "/half.html",
]  # fmt: skip


@pytest.mark.parametrize("path", PATHS, ids=lambda p: ascii(p)[:40])
def test_an_odd_address_gets_an_answer_and_no_traceback(port, capfd, path):
    answer = asked(port, get(path))
    status = int(answer.split(b" ", 2)[1])
    assert status in (200, 301, 400, 404, 414), answer[:200]
    assert b"root:x:0" not in answer
    assert asked(port, get("/")).startswith(b"HTTP/1.1 200")
    said = capfd.readouterr().err
    assert "Traceback" not in said and said == ""


REQUESTS = [
    b"\x00\r\n\r\n", b"GET\r\n\r\n", b"GET / HTTP/9.9\r\n\r\n", b"GET / HTTP/x\r\n\r\n",
    b"\x16\x03\x01\x02", b"POST / HTTP/1.1\r\nHost: localhost\r\nContent-Length: -5\r\n\r\n",
    b"BREW / HTTP/1.1\r\n\r\n", b"GET / HTTP/1.1\r\nHost: evil.example\r\n\r\n",
    b"GET / HTTP/1.1\r\n" + b"A: b\r\n" * 500 + b"\r\n",
    b"GET / HTTP/1.1\r\n" + b"A" * 70_000 + b"\r\n\r\n", b"", b"\r\n" * 50,
    b"GET / HTTP/1.1\r\nHost: \xff\xfe\r\n\r\n",
]  # fmt: skip


@pytest.mark.parametrize("request_", REQUESTS, ids=lambda r: ascii(r)[:40])
def test_what_is_no_request_is_turned_away(port, capfd, request_):
    try:
        answer = asked(port, request_)
    except ConnectionError:  # the server had enough before all was sent
        answer = b""
    assert b" 200 " not in answer.split(b"\r\n")[0]
    assert asked(port, get("/")).startswith(b"HTTP/1.1 200")
    assert capfd.readouterr().err == ""


@pytest.mark.parametrize("way", [f"/{NAME}", "/%2eexplainer.json", f"//{NAME}", f"/./{NAME}",
                                 "/%252eexplainer.json", f"/a/../{NAME}", f"/a\\..\\{NAME}"])
def test_the_record_of_a_site_is_not_served(port, way):
    assert asked(port, get(way)).startswith(b"HTTP/1.1 404")


HERE = b"Host: localhost\r\n"
#: Requests beside those of `REQUESTS`, one of each kind that a browser would not send.
ODD = {
    "half a character": b"GET /%ed%a0%80 HTTP/1.1\r\n" + HERE + b"\r\n",
    "raw bytes": b"GET /\xff\x80 HTTP/1.1\r\n" + HERE + b"\r\n",
    "a whole address": b"GET http://localhost/ HTTP/1.1\r\n" + HERE + b"\r\n",
    "a broken whole address": b"GET http://[/ HTTP/1.1\r\n" + HERE + b"\r\n",
    "a header without end": b"GET / HTTP/1.1\r\n" + HERE + b"A: " + b"b" * 70_000 + b"\r\n\r\n",
    "a bad chunk": b"POST / HTTP/1.1\r\n" + HERE + b"Transfer-Encoding: chunked\r\n\r\nzz\r\n",
    "HEAD": b"HEAD / HTTP/1.1\r\n" + HERE + b"\r\n",
    "PUT": b"PUT / HTTP/1.1\r\n" + HERE + b"Content-Length: 3\r\n\r\nabc",
    "OPTIONS": b"OPTIONS * HTTP/1.1\r\n" + HERE + b"\r\n",
    "a method of ours": b"parse_request / HTTP/1.1\r\n" + HERE + b"\r\n",
    "no host": b"GET / HTTP/1.1\r\n\r\n",
    "two hosts": b"GET / HTTP/1.1\r\n" + HERE + HERE + b"\r\n",
    "no version": b"GET /\r\n\r\n",
    "a version to come": b"GET / HTTP/2.0\r\n" + HERE + b"\r\n",
    "another protocol": b"\x16\x03\x01\x02\x00\x01\xfc\x03",
    "spaces": b"   \r\n\r\n",
    "one word": b"GET\r\n\r\n",
    "half a body": b"POST /snap HTTP/1.1\r\n" + HERE + b"Content-Length: 9\r\n\r\n{",
}  # fmt: skip


@pytest.mark.parametrize("serve", ["a_rehearsal", "a_workroom", "a_desk"])
def test_whatever_is_asked_is_answered_with_a_status(tmp_path, capfd, serve):
    """And none of it is a fault of ours: no 500, not a word on standard error."""
    with globals()[serve](tmp_path) as (address, _):
        number = int(address.split("/")[2].split(":")[1])
        for name, request in ODD.items():
            try:
                answer = asked(number, request)
            except ConnectionError:  # the server had enough before all was sent
                assert name == "a header without end"
                continue
            assert answer.startswith(b"HTTP/1.1 "), (name, answer)
            assert answer.split()[1] in b"200 301 400 403 404 431 501 505".split(), (name, answer)
    assert capfd.readouterr().err == ""


def test_a_form_that_ends_early_is_answered_too(tmp_path, capfd):
    with a_workroom(tmp_path) as (address, _):
        host = address.split("/")[2]
        path = "/" + address.split("/", 3)[3]
        head = (f"POST {path}begin HTTP/1.1\r\nHost: {host}\r\nOrigin: http://{host}\r\n"
                "Content-Length: 9\r\n\r\n")  # fmt: skip
        answer = asked(int(host.split(":")[1]), head.encode() + b"kind=")
    assert answer.startswith(b"HTTP/1.1 400") and capfd.readouterr().err == ""


@pytest.mark.parametrize("head", [b"Content-Length: 34", b"Transfer-Encoding: chunked"])
def test_what_comes_with_a_question_is_not_the_next_question(port, head):
    """Else whoever may send a question could hide another one in it."""
    hidden = b"GET /hidden HTTP/1.1\r\n" + HERE + b"\r\n"
    answer = asked(port, b"GET / HTTP/1.1\r\n" + HERE + head + b"\r\n\r\n" + hidden)
    assert answer.startswith(b"HTTP/1.1 200") and answer.count(b"HTTP/1.1 ") == 1


def test_a_fault_of_ours_is_an_answer_and_a_line(capfd):
    class Broken(LocalHandler):
        def do_GET(self) -> None:
            raise RuntimeError("not\nso")

    with running(Broken, 0) as address:
        number = int(address.rsplit(":", 1)[1].strip("/"))
        assert asked(number, get("/") * 2).startswith(b"HTTP/1.1 500")
    said = capfd.readouterr().err
    assert said == "explainer: a request could not be answered (RuntimeError: not\\nso)\n"


def test_idle_connections_are_bounded_and_let_go(port, capfd):
    before = threading.active_count()
    idle = [socket.create_connection((HOST, port), timeout=60) for _ in range(300)]
    turned_away = 0
    for line in idle[:-MOST]:  # whoever waits longest makes room
        line.settimeout(60)
        try:
            turned_away += line.recv(1) == b""
        except ConnectionError:
            turned_away += 1
    assert turned_away == 300 - MOST
    until(lambda: threading.active_count() - before <= MOST)
    for line in idle:
        line.close()
    until(lambda: threading.active_count() == before)
    assert asked(port, get("/")).startswith(b"HTTP/1.1 200")
    assert capfd.readouterr().err == ""


def until(true) -> None:
    for _ in range(2_000):
        if true():
            return
        threading.Event().wait(0.01)
    raise AssertionError("never")


@contextmanager
def a_rehearsal(tmp_path):
    (tmp_path / "index.html").write_text("<!doctype html><title>t</title><body>here")
    stage = SimpleNamespace(
        site=tmp_path, version=3, problems={}, names=frozenset(), paper=lambda *given: None,
        newer_than=lambda seen, timeout: threading.Event().wait(timeout) or 3,
    )  # fmt: skip
    with serving(stage, 0) as address:
        yield f"{address}", 1


@contextmanager
def a_workroom(tmp_path):
    said, stop = [], threading.Event()
    thread = threading.Thread(target=open_room, args=(tmp_path, 0, said.append, False, stop))
    thread.start()
    until(lambda: said)
    yield said[0].split()[1], 3
    stop.set()
    thread.join(30)


@contextmanager
def a_desk(tmp_path):
    picture, said, stop = io.BytesIO(), [], threading.Event()
    Image.new("RGB", (40, 30)).save(picture, "PNG")
    source = CameFrom(ReportFile("report.pdf", "a" * 64, 12), 8, "2026-01-31")
    thread = threading.Thread(
        target=sit_down, args=(picture.getvalue(), source, lambda files: "", 0, said.append, stop)
    )
    thread.start()
    until(lambda: said)
    yield next(word for word in said[0].split() if word.startswith("http")), 1
    stop.set()
    thread.join(30)


WAITING = {
    "silent": b"",
    "half a line": b"GET /",
    "half a head": b"GET / HTTP/1.1\r\nHost: localhost\r\nA: b",
    "half a body": b"POST /snap HTTP/1.1\r\nHost: localhost\r\nContent-Length: 9\r\n\r\n{",
    "asked and kept": b"GET / HTTP/1.1\r\nHost: localhost\r\n\r\n",
    "waits for news": b"GET /rehearsal-news?seen=3 HTTP/1.1\r\nHost: localhost\r\n\r\n",
}


@pytest.mark.parametrize("first", WAITING.values(), ids=WAITING)
@pytest.mark.parametrize("serve", [a_rehearsal, a_workroom, a_desk])
def test_a_page_gets_through_while_two_hundred_connections_wait(tmp_path, capfd, serve, first):
    """And is answered on one connection for as long as its browser asks: nobody is locked out."""
    with serve(tmp_path) as (address, pages), ExitStack() as all_of_them:
        number = int(address.split("/")[2].split(":")[1])

        def more(n: int) -> None:
            for _ in range(n):
                line = socket.create_connection((HOST, number), timeout=60)
                all_of_them.enter_context(line)
                with suppress(ConnectionError):  # turned away already
                    line.sendall(first)

        more(200)
        for _ in range(pages):
            path = "/" + address.split("/", 3)[3]
            link = HTTPConnection(HOST, number, timeout=60)
            link.request("GET", path)
            answer = link.getresponse()
            assert answer.status == 200 and answer.read()
            more(20)
            link.close()
    assert capfd.readouterr().err == ""


def test_a_head_that_comes_byte_by_byte_has_its_seconds_in_all(port, monkeypatch):
    """Each byte within the time-out of a read: this alone would keep a connection for days."""
    assert local_server.HEAD <= 15 and local_server.IDLE <= 60 and local_server.BODY <= 120
    monkeypatch.setattr(local_server, "HEAD", 0.5)
    with socket.create_connection((HOST, port), timeout=60) as line:
        line.sendall(b"GET / HTTP/1.1\r\nHost: localhost\r\nA: ")

        def ended() -> bool:
            try:
                line.sendall(b"b")
            except ConnectionError:
                return True
            return False

        assert not ended()
        until(ended)


@pytest.mark.parametrize("length", ["\xb2", "9" * 5_000, "-5", "1e3", " ", "0x10"])
@pytest.mark.parametrize("serve", [a_workroom, a_desk])
def test_a_length_that_is_no_number_is_turned_away(tmp_path, capfd, serve, length):
    with serve(tmp_path) as (address, _):
        number = int(address.split("/")[2].split(":")[1])
        head = (
            f"POST /{address.split('/', 3)[3]}end HTTP/1.1\r\nHost: {HOST}:{number}\r\n"
            f"Origin: http://{HOST}:{number}\r\nContent-Length: {length}\r\n\r\n"
        )
        answer = asked(number, head.encode("latin-1"))
        assert int(answer.split(b" ", 2)[1]) in (403, 413)
    assert capfd.readouterr().err == ""


def test_a_connection_that_says_nothing_is_ended(tmp_path, monkeypatch):
    assert preview_server.Handler.timeout == local_server.IDLE <= 60
    monkeypatch.setattr(preview_server.Handler, "timeout", 0.2)
    stage = SimpleNamespace(site=tmp_path, version=1, problems={}, names=frozenset())
    with serving(stage, 0) as address:
        number = int(address.rsplit(":", 1)[1].strip("/"))
        with socket.create_connection((HOST, number), timeout=60) as line:
            assert line.recv(1) == b""


def test_what_is_worked_out_is_not_cut_off_and_nothing_begins_for_nobody():
    begun, go = threading.Event(), threading.Event()

    class Slow(local_server.LocalHandler):
        done = 0

        def do_GET(self) -> None:
            begun.set()
            assert go.wait(20)
            self.send_response(200)
            self.send_header("Content-Length", "2")
            self.end_headers()
            self.wfile.write(b"ok")

        def do_POST(self) -> None:
            self.taken(5)
            type(self).done += 1

    with local_server.running(Slow, 0) as address, ExitStack() as lines:
        number = int(address.rsplit(":", 1)[1].strip("/"))

        def connect(first: bytes) -> socket.socket:
            line = lines.enter_context(socket.create_connection((HOST, number), timeout=60))
            line.sendall(first)
            return line

        slow = connect(b"GET / HTTP/1.1\r\n\r\n")
        assert begun.wait(20)
        half = connect(b"POST / HTTP/1.1\r\n\r\nabc")
        for _ in range(2 * MOST):
            connect(b"")
        with suppress(ConnectionError):
            assert half.recv(1) == b""
        go.set()
        assert slow.recv(100).startswith(b"HTTP/1.1 200")
    assert Slow.done == 0
