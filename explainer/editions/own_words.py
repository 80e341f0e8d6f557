"""What a workspace's own templates make of the results, said where no template of it can leave it
out.

A phrase carries the condition under which it may speak, but in a workspace's own phrase file that
condition is the workspace's, too; a page template may say anything.  So whoever reads such a page,
or is handed such a workspace, is told whose words these are.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from html import escape
from pathlib import Path

from explainer.study.shipped import is_shipped
from explainer.study.unseen import seen
from explainer.words.language import FOLDER as LANGUAGES, english, language

#: Names told on a page, and in all: a folder may hold any number.
TOLD, MOST = 6, 200
#: What of a templates folder is ever read.
_READ = (".j2", ".yaml", ".css", ".js")
#: Folders looked into at most; that there are more is told by the name of the next.
_FOLDERS = 2_000
#: On a sheet of paper there is one line for it, and no room for names.
ON_A_SHEET = "Told with templates of this workspace, which are not explainer’s"


def own_templates(folders: tuple[Path, ...]) -> tuple[str, ...]:
    """The files of a workspace that can change what is said of results, as paths with /, by name.

    Empty where the only templates are ours.
    """
    return tuple(name for name in _theirs(folders) if not _unheard(name))


def unheard_templates(folders: tuple[Path, ...]) -> tuple[str, ...]:
    """The files of a workspace that only look as if they could: nobody reads them."""
    return tuple(filter(_unheard, _theirs(folders)))


def _theirs(folders: tuple[Path, ...]) -> list[str]:
    theirs = (folder for folder in folders if not is_shipped(folder))
    return sorted({name for folder in theirs for name in _below(folder)})


def _unheard(name: str) -> bool:
    """Whether it would say something in a language, and nobody asks for it: the sentences of
    another than is spoken here, or a catalogue, which is ours alone."""
    heard = () if language() is english() else (f"{LANGUAGES}/{language().tag}/",)
    return name.startswith(f"{LANGUAGES}/") and not name.startswith(heard)


def _below(folder: Path) -> Iterator[str]:
    """Names of files; of a folder that is a link only its own, since what it leads to may be
    anywhere and without end.  A file counts however its name is written: some systems find
    ``page.html.j2`` in ``PAGE.HTML.J2``."""
    found = 0
    for looked, (place, inside, names) in enumerate(os.walk(folder)):
        inside.sort()
        linked = [f"{name}/" for name in inside if os.path.islink(Path(place) / name)]
        files = [n for n in names if n.casefold().endswith(_READ) and not n.startswith(".")]
        for name in sorted((*linked, *files)):
            whole = (Path(place) / name).relative_to(folder).as_posix()
            yield f"{whole}/" if name.endswith("/") else whole
            found += 1
        if looked >= _FOLDERS:
            yield f"{Path(place).relative_to(folder).as_posix()}/"
        if found >= MOST or looked >= _FOLDERS:
            return


def listed(names: tuple[str, ...]) -> str:
    """``a.yaml, b.j2 and 3 more``; no character of it turns text around."""
    shown = ", ".join(seen(name) for name in names[:TOLD])
    more = len(names) - TOLD
    return f"{shown} and {more} more" if more > 0 else shown


def said_whose(page: str, names: tuple[str, ...]) -> str:
    """A page of HTML that says at its end whose words it is told in, where they are not ours.

    ``names``: the workspace's ``own_templates``, looked up once for pages that are made together.
    """
    if not names:
        return page
    told = (
        '<footer class="colophon own-words"><p>This workspace tells results with templates of its '
        f"own, which are not explainer’s: {escape(listed(names))}. Verdicts and numbers are worked "
        "out without them.</p></footer>\n"
    )
    head, end, tail = page.rpartition("</body>")
    return f"{head}{told}{end}{tail}" if end else f"{page}\n{told}"


def marked_whose(text: str, folders: tuple[Path, ...]) -> str:
    """The same for a text in Markdown."""
    names = own_templates(folders)
    if not names:
        return text
    files = listed(names).replace("`", "'")
    return f"{text}\n{ON_A_SHEET}: `{files}`.\n"
