"""How far a publish is: a bar on a terminal, plain lines elsewhere, or nothing at all."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager

import click

Tell = Callable[[str], None]


@contextmanager
def telling(studies: int, quiet: bool) -> Iterator[Tell]:
    """Gives what is called with a line for each study that is done.

    The bar counts studies; while the last one is done and the site is put together, it stays
    full.  rich is loaded for a terminal only.
    """
    if quiet:
        yield lambda line: None
    elif not sys.stdout.isatty():
        yield click.echo
    else:
        with _bar(studies) as tell:
            yield tell


@contextmanager
def _bar(studies: int) -> Iterator[Tell]:
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeElapsedColumn

    columns = (TextColumn("{task.description}"), BarColumn(), MofNCompleteColumn(),
               TimeElapsedColumn())  # fmt: skip
    with Progress(*columns, transient=True) as progress:
        task = progress.add_task("publishing", total=studies)

        def tell(line: str) -> None:
            progress.console.print(line, markup=False, highlight=False, soft_wrap=True)
            progress.advance(task)

        yield tell
