"""The command in a process of its own that has nothing left to load.

Loading the libraries takes three seconds of a processor, and the tests start the command some
hundred times.  One process for each process of tests loads them once; every command is a copy of
it (fork) with a folder, an environment, streams, limits and an end of its own.  What hangs on how
Python itself starts (its options, its hash seed, the encoding, what is loaded) starts it anew.
"""

from __future__ import annotations

import atexit
import functools
import json
import os
import resource
import signal
import socket
import subprocess
import sys
import tempfile
import time
from collections.abc import Mapping
from pathlib import Path
from typing import IO, cast

MOST = 1 << 17
"""Bytes of a message: the arguments and the environment."""
CLOCK = 120
"""Seconds by the clock after which a command is ended."""


class Ended(subprocess.CompletedProcess[str]):
    """A command that ended, and what it took."""

    seconds: float
    """Of a processor."""
    memory: int
    """The most it held, in bytes, all that was loaded before included."""


def started(
    *arguments: str, cwd: Path, env: Mapping[str, str] | None = None,
    limits: Mapping[int, int] | None = None, timeout: float = CLOCK,
) -> Ended:
    """``explainer`` with these arguments, to its end; what it said as text.

    ``limits`` are the system's own (``resource.RLIMIT_CPU`` and its like).  Raises TimeoutExpired.
    """
    asked = {
        "arguments": arguments, "cwd": str(cwd), "env": dict(os.environ if env is None else env),
        "limits": list((limits or {}).items()),
    }  # fmt: skip
    with tempfile.TemporaryFile() as out, tempfile.TemporaryFile() as err:
        server = _server()
        socket.send_fds(server, [json.dumps(asked).encode()], [out.fileno(), err.fileno()])
        child = int(server.recv(MOST))
        server.settimeout(timeout)
        try:
            status, seconds, memory = json.loads(server.recv(MOST))
        except TimeoutError:
            os.kill(child, signal.SIGKILL)
            server.settimeout(None)
            server.recv(MOST)
            raise subprocess.TimeoutExpired(arguments, timeout) from None
        finally:
            server.settimeout(None)
        said, told = (_read(file) for file in (out, err))
    ended = Ended(arguments, status, said, told)
    ended.seconds, ended.memory = seconds, memory
    return ended


def _read(file: IO[bytes]) -> str:
    file.seek(0)
    return file.read().decode().replace("\r\n", "\n")


@functools.cache
def _server() -> socket.socket:
    """The way to the process that has everything loaded; it ends with this one."""
    ours, its = socket.socketpair(socket.AF_UNIX, socket.SOCK_SEQPACKET)
    root = str(Path(__file__).resolve().parents[1])
    server = subprocess.Popen(
        [sys.executable, __file__, str(its.fileno())], pass_fds=[its.fileno()], cwd=root,
        env={**os.environ, "PYTHONPATH": root, "OPENBLAS_NUM_THREADS": "1"},
        stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL,
    )  # fmt: skip
    its.close()
    atexit.register(lambda: (ours.close(), server.wait()))
    return ours


def _serve(way: socket.socket) -> None:
    """Copies this process for each command that is asked for; in a copy, returns from it."""
    from explainer.draft import draft  # noqa: F401
    from explainer.publish import warm  # noqa: F401

    while True:
        message, streams, *_ = socket.recv_fds(way, MOST, 2)
        if not message:
            sys.exit()
        child = os.fork()
        if not child:
            way.close()
            _become(json.loads(message), streams)
            return
        for stream in streams:
            os.close(stream)
        way.send(str(child).encode())
        _, status, used = os.wait4(child, 0)
        spent = used.ru_utime + used.ru_stime
        ended = os.waitstatus_to_exitcode(status), spent, used.ru_maxrss * 1024
        way.send(json.dumps(ended).encode())


def _become(asked: dict[str, object], streams: list[int]) -> None:
    """This copy is the command now: where it stands, what it may, what it says and to whom."""
    os.chdir(cast(str, asked["cwd"]))
    os.environ.clear()
    os.environ.update(cast(dict[str, str], asked["env"]))
    time.tzset()
    for stream, number in zip(streams, (1, 2), strict=True):
        os.dup2(stream, number)
        os.close(stream)
    sys.stdout = os.fdopen(1, "w", encoding="utf-8", closefd=False)
    sys.stderr = os.fdopen(2, "w", encoding="utf-8", errors="backslashreplace", closefd=False)
    for which, most in cast(list[tuple[int, int]], asked["limits"]):
        resource.setrlimit(which, (most, most))
    sys.argv[1:] = cast(list[str], asked["arguments"])


if __name__ == "__main__":
    _serve(socket.socket(fileno=int(sys.argv[1])))
    from explainer.cli import main

    main(sys.argv[1:])
