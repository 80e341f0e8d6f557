"""Python of ours in a process of its own, which has bounds and finds nothing where one stands.

The folder one stands in may be a stranger's workspace, and Python as it comes looks there first: a
``multiprocessing.py`` in it would be run in place of Python's own.  What such a process works on
may be a stranger's, too, and ask for any memory and any time; the process bounds itself before it
begins (``confine``), as far as the system can, and whoever started it stops it by the clock.
"""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from explainer import HERE

#: What says so to a Python that a library starts for us (``PYTHONSAFEPATH``, Python 3.11).
_SAFE = "PYTHONSAFEPATH"
#: Seconds between the signal that a process may say a word about and the one that ends it.
_GRACE = 5
#: Bytes that a process of ours has usually mapped before it begins.
_USUAL = 300_000_000


def python_of_ours(module: str) -> list[str]:
    """The command that runs ``main`` of one of our modules, as this very program has it.

    The folder that holds us is where this package is found, and nothing else is.
    """
    code = (
        f"import sys; sys.path.insert(0, {HERE!r}); import explainer; del sys.path[0]; "
        f"from {module} import main; main()"
    )
    return [sys.executable, "-P", "-c", code]


def only_ours() -> None:
    """From here on every Python that is started for us looks nowhere it was not installed to."""
    os.environ[_SAFE] = "1"


def start(module: str, around: Mapping[str, str]) -> subprocess.Popen[bytes]:
    """One of our modules in a process with that environment; it hears and answers through pipes.

    What it says on standard error is a library's, about a file that is not ours: nobody reads it.
    The libraries for numbers get one thread, since each takes memory at once.
    """
    return subprocess.Popen(
        python_of_ours(module), stdin=subprocess.PIPE, stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        env={**around, "OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1",
             "PYTHONWARNINGS": "ignore", "PYTHONIOENCODING": "utf-8"},
    )  # fmt: skip


class SilentError(Exception):
    """A process of ours gave no answer: it took too long, too much memory, or broke."""


def answer_of(module: str, asked: bytes, seconds: float) -> bytes:
    """What one of our modules, in a process of its own, makes of what it is handed.

    It gets nothing of our surroundings, confines itself, and writes one answer.  Raises SilentError
    where none comes within so many seconds by the clock.
    """
    with start(module, bare()) as process:
        try:
            answer, _ = process.communicate(asked, timeout=seconds)
        except (subprocess.TimeoutExpired, OSError):
            raise SilentError from None
        finally:
            process.kill()
    if process.returncode or not answer:
        raise SilentError
    return answer


def bare() -> dict[str, str]:
    """Nothing of our surroundings but what Python needs to find itself."""
    keep = ("PATH", "PYTHONPATH", "SYSTEMROOT", "LANG", "VIRTUAL_ENV", "HOME", "TMPDIR")
    return {name: os.environ[name] for name in keep if name in os.environ}


@dataclass(frozen=True)
class Limits:
    """What a process may take from where it confines itself on; None: what the system gives."""

    memory: int
    """Bytes mapped, in all."""
    written: int
    """Bytes of any file."""
    seconds: float | None = None
    """Of processor."""
    files: int | None = None
    """Open at a time."""


def confine(limits: Limits) -> None:
    """Bounds this process for good.

    A system that knows none of these limits (Windows), or not all (macOS counts no memory), goes
    without them: there the clock of whoever started it must do.
    """
    try:
        import resource
    except ImportError:
        return
    wanted = {"RLIMIT_AS": limits.memory, "RLIMIT_FSIZE": limits.written, "RLIMIT_CORE": 0}
    if limits.files is not None:
        wanted["RLIMIT_NOFILE"] = limits.files
    if limits.seconds is not None:
        used = resource.getrusage(resource.RUSAGE_SELF)
        wanted["RLIMIT_CPU"] = int(used.ru_utime + used.ru_stime + limits.seconds) + 1
    for name, most in wanted.items():
        with suppress(AttributeError, ValueError, OSError):
            what = getattr(resource, name)
            _, hard = resource.getrlimit(what)
            end = most + _GRACE * (name == "RLIMIT_CPU")
            if hard != resource.RLIM_INFINITY:
                most, end = min(most, hard), min(end, hard)
            resource.setrlimit(what, (most, end))


def mapped() -> int:
    """Bytes that this process has mapped; where the system does not tell, as many as usual."""
    try:
        pages = int(Path("/proc/self/statm").read_text().split()[0])
    except (OSError, ValueError):
        return _USUAL
    return pages * os.sysconf("SC_PAGE_SIZE")
