"""What anybody on this computer may ask the preview server: an answer or silence, no traceback."""

from __future__ import annotations

import socket
import threading
from types import SimpleNamespace

import pytest

from explainer.publish import preview_server
from explainer.publish.preview_server import HOST, MOST, serving


@pytest.fixture
def port(tmp_path):
    (tmp_path / "index.html").write_text("<!doctype html><title>t</title><body>here")
    stage = SimpleNamespace(
        site=tmp_path, version=3, problems={}, names=frozenset(), paper=lambda *given: None,
        newer_than=lambda seen, timeout: 3,
    )  # fmt: skip
    with serving(stage, 0) as address:
        yield int(address.rsplit(":", 1)[1].strip("/"))


def asked(port: int, request: bytes) -> bytes:
    """What comes back until the server ends the connection."""
    with socket.create_connection((HOST, port), timeout=20) as line:
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


def test_idle_connections_are_bounded_and_let_go(port, monkeypatch, capfd):
    before = threading.active_count()
    idle = [socket.create_connection((HOST, port), timeout=20) for _ in range(300)]
    turned_away = 0
    for line in idle[MOST:]:
        line.settimeout(20)
        try:
            turned_away += line.recv(1) == b""
        except ConnectionError:
            turned_away += 1
    assert turned_away == 300 - MOST
    assert threading.active_count() - before <= MOST
    for line in idle:
        line.close()
    while threading.active_count() > before:
        threading.Event().wait(0.01)
    assert asked(port, get("/")).startswith(b"HTTP/1.1 200")
    assert capfd.readouterr().err == ""


def test_a_connection_that_says_nothing_is_ended(tmp_path, monkeypatch):
    assert preview_server.Handler.timeout == preview_server.IDLE <= 60
    monkeypatch.setattr(preview_server.Handler, "timeout", 0.2)
    stage = SimpleNamespace(site=tmp_path, version=1, problems={}, names=frozenset())
    with serving(stage, 0) as address:
        number = int(address.rsplit(":", 1)[1].strip("/"))
        with socket.create_connection((HOST, number), timeout=20) as line:
            assert line.recv(1) == b""
