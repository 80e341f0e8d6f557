"""What a command owes the system it runs on, beside its work.

Its streams may be closed, full, or of an alphabet that lacks our letters; whoever reads them may go
away.  It may be asked to end (Ctrl-C, a termination, a hang-up), have little memory, or stand in a
folder that is gone.  Each of these ends as one line and an exit status, and never half done:

    0    the reader of the output went away
    2    something that was to be read cannot be
    4    the output cannot be written, or the memory does not suffice
    129, 130, 143    ended by a hang-up, by Ctrl-C, by a request to terminate
"""

from __future__ import annotations

import errno
import io
import os
import re
import signal
import stat
import sys
import threading
import unicodedata
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from types import FrameType
from typing import Any, TextIO

import click

from explainer.errors import (
    ExplainerError,
    StudyError,
    UsageError,
    little_memory,
    one_line,
    ours,
)

#: Exit status of a fault of ours.
FAULT = 1
_UNWRITTEN = 4
LEAST = 300_000_000
"""Bytes that a process must be able to map; with fewer no study was ever read to its end."""
_OF_MEMORY = (errno.ENOMEM, errno.EAGAIN)


class UnwrittenError(Exception):
    """Standard output took nothing more.  Neither an OSError, which libraries answer in their own
    way, nor one of ours, which commands may catch."""

    def __init__(self, fault: OSError) -> None:
        super().__init__(fault.strerror or str(fault))
        self.gone = fault.errno == errno.EPIPE


class StoppedError(BaseException):
    """The system asked us to end."""

    def __init__(self, number: int) -> None:
        super().__init__(signal.Signals(number).name)
        self.number = number


class Commands(click.Group):
    """Commands whose Ctrl-C is told by us, in words; click would turn it into nothing."""

    def invoke(self, context: click.Context) -> Any:
        try:
            return super().invoke(context)
        except KeyboardInterrupt:
            raise StoppedError(signal.SIGINT) from None


def say(text: str, *, err: bool = False) -> None:
    """One line, in which no name of a stranger's moves the cursor or turns the writing round."""
    click.echo(_visible(text), err=err)


def show(text: str, *, err: bool = False) -> None:
    """Several lines of ours, shown in the same way."""
    click.echo("\n".join(map(_visible, text.split("\n"))), err=err)


def _visible(text: str) -> str:
    """As ``one_line``; spaces of any width stay what they are."""
    return "".join(c if unicodedata.category(c) == "Zs" else one_line(c) for c in text)


def as_status(command: Callable[[], Any], debug: bool) -> int:
    """Runs a command to its end; the exit status, once everything has been said."""
    with _streams(), _signals() as asked, _own_rights():
        try:
            _enough_room()
            _sound_clock()
            _sound_settings()
            given = command()
            sys.stdout.flush()
            return _stopped(asked[0]) if asked else given if isinstance(given, int) else 0
        except UnwrittenError as fault:
            _let_go_of_output()
            if fault.gone:  # whoever read it has seen enough
                return 0
            say(f"explainer: standard output cannot be written ({fault})", err=True)
            return _UNWRITTEN
        except (StoppedError, KeyboardInterrupt, click.exceptions.Abort) as stop:
            return _stopped(stop.number if isinstance(stop, StoppedError) else signal.SIGINT)
        except Exception as fault:
            if asked:  # a library took the request for a fault of its own
                return _stopped(asked[0])
            if debug and not isinstance(fault, ExplainerError | click.ClickException):
                raise
            _flushed()
            return _told(fault)


def _stopped(number: int) -> int:
    """Says by what a command was ended; its exit status."""
    _flushed()
    say(f"explainer: ended by {_WORDS.get(number, 'a signal')}; a site that was being "
        "published is whole, the old one or the new", err=True)  # fmt: skip
    return 128 + number


def _enough_room() -> None:
    """Where the system limits how much we may map, the libraries for numbers want one thread each.

    Every thread more is 32 MB at once; and where OpenBLAS cannot have its first block it asks
    again for ever, deaf to signals, so that too little has to be told before it is loaded.
    Raises MemoryError.
    """
    try:
        import resource
    except ImportError:  # Windows has no such limit
        return
    limit, _ = resource.getrlimit(resource.RLIMIT_AS)
    if limit == resource.RLIM_INFINITY:
        return
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    if limit < LEAST:
        raise MemoryError


#: Seconds since 1970 up to the end of the year 9999, the last day that our libraries can write.
_LAST_SECOND = 253_402_300_799


def _sound_clock() -> None:
    """The moment that reproducible builds are given (the SOURCE_DATE_EPOCH specification): our
    libraries read it as they are loaded, and break where it is none.  Raises UsageError."""
    given = os.environ.get("SOURCE_DATE_EPOCH")
    if given is None or (re.fullmatch("[0-9]{1,12}", given) and int(given) <= _LAST_SECOND):
        return
    raise UsageError(
        f"the environment: found SOURCE_DATE_EPOCH={given[:40]!r}, expected whole seconds since "
        f"1970, at most {_LAST_SECOND}; nothing was done"
    )


#: Bytes of a file of settings that libraries of ours read; ours takes none of them.
_OF_SETTINGS = 1_000_000


def _sound_settings() -> None:
    """Files that fontconfig and matplotlib read as they are loaded, without looking at them first:
    a pipe would hold us up for ever, a device never end.  Raises UsageError.

    The one in the folder one stands in may be a stranger's; what a sound one says is not obeyed.
    """
    asked = os.environ.get("MATPLOTLIBRC", "")
    for name, path in (
        ("the folder you stand in", "matplotlibrc"),
        ("the environment", os.path.join(asked, "matplotlibrc") if os.path.isdir(asked) else asked),
        ("the environment", os.environ.get("FONTCONFIG_FILE", "")),
    ):
        try:
            facts = os.stat(path)
        except (OSError, ValueError):  # nothing is there: nothing is read
            continue
        plain = stat.S_ISREG(facts.st_mode) and facts.st_size <= _OF_SETTINGS
        if not plain and not stat.S_ISDIR(facts.st_mode):
            raise UsageError(
                f"{name}: found {path[:200]!r} as a file of settings, expected a plain file of at "
                f"most {_OF_SETTINGS:,} bytes, or none; nothing was done"
            )


_WORDS: dict[int, str] = {signal.SIGINT: "Ctrl-C", signal.SIGTERM: "a request to terminate"}
if hasattr(signal, "SIGHUP"):
    _WORDS[signal.SIGHUP] = "a hang-up"


def _told(fault: Exception) -> int:
    """What went wrong, as lines on standard error; its exit status."""
    if isinstance(fault, click.ClickException):
        say(f"explainer: {fault.format_message()}", err=True)
        return UsageError.exit_status
    if isinstance(fault, StudyError):
        for problem in fault.problems:
            say(str(problem), err=True)
        return fault.exit_status
    if isinstance(fault, ExplainerError):
        say(f"explainer: {fault}", err=True)
        return fault.exit_status
    words, status = _of_the_system(fault)
    if words:
        say(f"explainer: {words}; nothing was changed", err=True)
        return status
    say(
        f"explainer: this is {ours(fault)}; nothing was changed; run again with --debug before the "
        "command to see where",
        err=True,
    )
    return FAULT


def _of_the_system(fault: Exception) -> tuple[str, int]:
    """Words and exit status for what the system refused us; no words for anything else."""
    if little_memory(fault):
        return "there is too little memory for this (or a limit on it)", _UNWRITTEN
    if not isinstance(fault, OSError):
        return "", FAULT
    if fault.errno in _OF_MEMORY:
        return "there is too little memory for this (or a limit on it)", _UNWRITTEN
    try:
        os.getcwd()
    except OSError:
        return "the folder you stand in is gone; go to another", UsageError.exit_status
    why = fault.strerror or str(fault) or type(fault).__name__
    if fault.errno in (errno.EACCES, errno.EPERM, errno.ENOENT, errno.ENOTDIR, errno.ELOOP):
        return f"cannot read {fault.filename or 'a file'}: {why.lower()}", UsageError.exit_status
    return f"the system refused: {why.lower()} ({fault.filename or 'no file'})", _UNWRITTEN


@contextmanager
def _own_rights() -> Iterator[None]:
    """What we make is ours to read, write and enter, whatever mask of rights we were given: one
    that takes these too (0777) would make, without a word, a site that nobody can read."""
    given = os.umask(0o077)
    os.umask(given & 0o077)
    try:
        yield
    finally:
        os.umask(given)


# -- signals ------------------------------------------------------------------------------------


@contextmanager
def _signals() -> Iterator[list[int]]:
    """A request to end unwinds what we do, so that nothing of ours is left lying about.

    Gives the requests that came: what is raised within a call from a library's own code (a
    callback, something being thrown away) Python drops, or the library makes another fault of it.
    """
    came: list[int] = []

    def stop(number: int, frame: FrameType | None) -> None:
        signal.signal(number, signal.SIG_IGN)  # once is enough: what follows is tidying up
        came.append(number)
        raise StoppedError(number)

    asked = [getattr(signal, name, None) for name in ("SIGTERM", "SIGHUP")]
    main = threading.current_thread() is threading.main_thread()
    # One that is ignored (nohup) or handled (a test's) stays so.
    taken = [s for s in asked if main and s and signal.getsignal(s) is signal.SIG_DFL]
    for number in taken:
        signal.signal(number, stop)
    try:
        yield came
    finally:
        for number in taken:
            signal.signal(number, signal.SIG_DFL)


# -- streams ------------------------------------------------------------------------------------


class _Output(io.FileIO):
    """Standard output, whose faults are told apart from all others."""

    def write(self, data: Any) -> int:
        try:
            return super().write(data)
        except OSError as fault:
            raise UnwrittenError(fault) from None


class _Errors(io.FileIO):
    """Standard error: where it cannot be written, there is nobody left to tell."""

    def write(self, data: Any) -> int:
        with suppress(OSError):
            return super().write(data)
        return len(data)


class _Closed(io.RawIOBase):
    """Standard output that was closed before we began: it takes nothing, and says so once."""

    said = False

    def writable(self) -> bool:
        return True

    def write(self, data: Any) -> int:
        if self.said:
            return len(data)
        self.said = True
        raise UnwrittenError(OSError(errno.EBADF, "it is closed"))


@contextmanager
def _streams() -> Iterator[None]:
    """Streams of our own in place of the process's, unless somebody put others there."""
    before = sys.stdout, sys.stderr
    _taken()
    if sys.stdout is sys.__stdout__:
        sys.stdout = _stream(sys.__stdout__, _Output)
    if sys.stderr is sys.__stderr__:
        sys.stderr = _stream(sys.__stderr__, _Errors)
    try:
        yield
    finally:
        _flushed()
        sys.stdout, sys.stderr = before


def _taken() -> None:
    """No file of ours may get the number of a standard stream that was closed."""
    while True:
        number = os.open(os.devnull, os.O_RDWR)
        if number > 2:
            os.close(number)
            return
        os.set_inheritable(number, True)


def _stream(given: TextIO | None, kind: type[io.FileIO]) -> TextIO:
    """The stream anew: a letter that its alphabet lacks is written as an escape."""
    lines, alphabet = False, "utf-8"
    raw: io.RawIOBase
    if given is None:
        raw = _Closed() if kind is _Output else io.FileIO(os.devnull, "w")
    else:
        with suppress(OSError, ValueError):
            given.flush()
        raw, alphabet = kind(given.fileno(), "w", closefd=False), given.encoding
        lines = isinstance(given, io.TextIOWrapper) and given.line_buffering
    buffered = io.BufferedWriter(raw)
    return io.TextIOWrapper(buffered, alphabet, "backslashreplace", line_buffering=lines)


def _flushed() -> None:
    """What was said so far is written, if it can be."""
    with suppress(UnwrittenError, ValueError):
        sys.stdout.flush()
    with suppress(ValueError):
        sys.stderr.flush()


def _let_go_of_output() -> None:
    """Nothing more may be written, not even what is held back until the end."""
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, 1)
    os.close(nowhere)
