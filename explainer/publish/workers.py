"""Builds studies one after the other, or several at once in processes of their own.

Workers come from a fork server that has loaded the libraries once.  A study gives the same bytes
wherever it is built, and results come in the order asked for, so the site does not depend on how
many workers there were.
"""

from __future__ import annotations

import gc
import os
import signal
import threading
from collections import deque
from collections.abc import Callable, Collection, Iterator, Mapping
from concurrent.futures import Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager
from functools import wraps
from multiprocessing import get_context, parent_process
from multiprocessing.connection import wait
from pathlib import Path
from typing import ParamSpec, TypeVar

from explainer.confined import only_ours
from explainer.errors import ExplainerError, OurFault, OutputError, StudyError, little_memory
from explainer.publish.manifest import Built
from explainer.study.model import Workspace

Build = Callable[[Path, Workspace], Built]
Result = Built | StudyError
T = TypeVar("T")
P = ParamSpec("P")
#: Studies handed out per worker: enough to keep it busy, few enough to hold in memory.
AHEAD = 2
#: Held by the thread of this process that builds.
_BUILDING = threading.RLock()


def one_at_a_time(task: Callable[P, T]) -> Callable[P, T]:
    """``task``, for which other threads of this process that build anything wait.

    Neither Pango nor matplotlib is made for several threads: pages break elsewhere, letters come
    of another font, and memory is spoilt.
    """

    @wraps(task)
    def alone(*args: P.args, **named: P.kwargs) -> T:
        with _BUILDING:
            return task(*args, **named)

    return alone


def unhurried() -> None:
    """Lets this process look for lost objects a fifteenth as often as Python would.

    A study's pages are made of many small objects that all are needed until it is built: looking
    through them took a tenth of the time and found next to nothing.
    """
    gc.set_threshold(10_000, 10, 10)


def _tidy() -> None:
    """Lets go of what the study before left, so that a hundredth needs no more room than a first.

    What is there the first time, libraries for the most part, is never looked through again.
    """
    gc.collect()
    if not gc.get_freeze_count():
        gc.freeze()


def default_workers() -> int:
    """One for each processor we may use, at most four."""
    return min(len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else
               os.cpu_count() or 1, 4)  # fmt: skip


def from_folder(
    folder: Path, workspace: Workspace, editions: Collection[str] | None = None
) -> Built:
    """The study in ``folder``, in its own editions or in these.  Raises StudyError."""
    from explainer.publish.build import build_study
    from explainer.publish.build_cache import held_still
    from explainer.study.load import load_study

    study = load_study(folder, workspace)
    held_still(folder, study.sha256)
    return build_study(study, editions)


@contextmanager
def meanwhile(task: Callable[[], T], *, needed: bool) -> Iterator[Callable[[], T]]:
    """Does a task in a process of its own while the block goes on; gives what gives its result.

    A thread would not do, since it would wait for the building that goes on.  Where there is
    nothing to do meanwhile (``needed`` is false), the task is done when its result is asked for;
    so it is beside other threads, where a copy of this process could wait for one it has not got.
    """
    if not needed or not hasattr(os, "fork") or threading.active_count() > 1:
        yield task
        return
    with ProcessPoolExecutor(1, get_context("fork"), initializer=_ready) as one:
        future = one.submit(task)

        def result() -> T:
            try:
                return future.result()
            except BrokenProcessPool:  # ended from outside: then here
                return task()

        yield result


def build_all(
    folders: Mapping[str, Path], workspace: Workspace, workers: int, build: Build = from_folder
) -> Iterator[tuple[str, Result]]:
    """Each study with its files, or with what is wrong with it, in the order of ``folders``.

    With more than one worker ``build`` must be a function another process can import.  Raises
    OutputError where a worker was ended from outside.
    """
    if workers < 2 or len(folders) < 2:
        for number, (name, folder) in enumerate(folders.items()):
            if number:
                _tidy()
            yield name, tried(build, folder, workspace)
        return
    only_ours()
    context = get_context("forkserver" if hasattr(os, "fork") else "spawn")
    if hasattr(os, "fork"):
        context.set_forkserver_preload(["explainer.publish.warm"])
    pool = ProcessPoolExecutor(min(workers, len(folders)), context, initializer=_ready)
    try:
        waiting: deque[tuple[str, Future[Result]]] = deque()
        for name, folder in folders.items():
            if len(waiting) >= AHEAD * workers:
                yield _next(waiting)
            waiting.append((name, pool.submit(_tidily, build, folder, workspace)))
        while waiting:
            yield _next(waiting)
    finally:
        pool.shutdown(cancel_futures=True)


def _next(waiting: deque[tuple[str, Future[Result]]]) -> tuple[str, Result]:
    name, future = waiting.popleft()
    try:
        return name, future.result()
    except BrokenProcessPool:
        raise OutputError(
            f"a worker was ended from outside while {name} or a study after it was built (too "
            "little memory?); what was published before still stands; try --workers 1"
        ) from None


def tried(build: Build, folder: Path, workspace: Workspace) -> Result:
    """A study with its files, or what is wrong with it, be it a fault of ours: the others do not
    wait for that.  What the system refuses, or asks of us, is no matter of one study."""
    try:
        return build(folder, workspace)
    except StudyError as fault:
        return fault
    except Exception as fault:
        of_the_system = isinstance(fault, ExplainerError | OSError) or little_memory(fault)
        if of_the_system or _asked_to_end():
            raise
        return OurFault.of(fault)


def _asked_to_end() -> bool:
    """Whether a request to end came, of which a library may have made a fault of its own; who
    takes one here takes no second."""
    return signal.getsignal(signal.SIGTERM) is signal.SIG_IGN


def _tidily(build: Build, folder: Path, workspace: Workspace) -> Result:
    _tidy()
    return tried(build, folder, workspace)


def _ready() -> None:
    """A worker leaves Ctrl-C to its parent, and ends when that ends, however it does."""
    unhurried()
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    for name in ("SIGTERM", "SIGHUP"):  # a copy of the parent would tidy up in its place
        if number := getattr(signal, name, None):
            signal.signal(number, signal.SIG_DFL)
    parent = parent_process()
    if parent is not None:
        threading.Thread(target=_end_with, args=(parent.sentinel,), daemon=True).start()


def _end_with(sentinel: int) -> None:
    wait([sentinel])
    os._exit(1)
