"""Everything that can go wrong for a user, in one tree.

    ExplainerError                 caught once, in cli.py; never shown as a traceback
    ├── UsageError                 exit 2: the command was given something it cannot take
    ├── StudyError                 exit 3: a study has problems; carries every one of them
    │   ├── DescriptionError         study.yaml: syntax, keys, values, names that match nothing
    │   ├── TableError               a CSV file: columns, cells, units, duplicates
    │   ├── WorkspaceError           settings.yaml, glossary or templates of the workspace
    │   └── OurFault                 exit 1: a study met a fault of ours, and is left out for it
    └── OutputError                exit 4: the site could not be written; the old one stands
        ├── TargetBusyError          another publish holds the target
        └── BrokenPageError          a page we made links to nothing or asks for the network

A ``Problem`` is one line for a person: where, what was found, what was expected and what
happens because of it.  Library errors (YAML, pandas, pydantic, pint, WeasyPrint, the
operating system) are turned into one of these where they arise.
"""

from __future__ import annotations

import difflib
import traceback
import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

#: Characters of a very long text that a message begins with.
_SHOWN = 200

Severity = Literal["error", "warning"]


@dataclass(frozen=True, order=True)
class Problem:
    """One thing wrong with a user's file, as one line.

    ``file`` is the name the user knows (``study.yaml``, ``shots.csv``).  In YAML ``line`` and
    ``column`` count from 1; in a CSV ``row`` counts spreadsheet rows from 1 (the header is row
    1) and ``cell`` is the column's name.  ``text`` and ``width`` locate the offending text for
    a marker under it, where that is known.
    """

    file: str
    line: int = 1
    column: int = 1
    row: int | None = None
    cell: str | None = None
    found: str = ""
    expected: str = ""
    happens: str = ""
    severity: Severity = "error"
    code: str = ""
    hint: str = ""

    @property
    def place(self) -> str:
        if self.row is None:
            return f"{self.file}:{self.line}:{self.column}"
        if self.cell is None:
            return f"{self.file}: row {self.row}"
        return f"{self.file}: row {self.row}, column {self.cell}"

    def __str__(self) -> str:
        words = f"found {_short(self.found)}"
        if self.expected:
            words += f", expected {_short(self.expected)}"
        if self.hint:
            words += f" ({_short(self.hint)})"
        if self.happens:
            words += f"; {_short(self.happens)}"
        kind = "warning: " if self.severity == "warning" else ""
        return one_line(f"{_short(self.place)}: {kind}{words}")


def _short(text: str) -> str:
    """A cell of a megabyte is not shown whole."""
    return text if len(text) <= 2 * _SHOWN else f"{text[:_SHOWN]}…{text[-_SHOWN // 2 :]}"


def one_line(text: str) -> str:
    """``text`` with control characters and line breaks made visible: a message is one line."""
    return "".join(c if c.isprintable() else repr(c)[1:-1] for c in text)


class ExplainerError(Exception):
    """Base of all errors a user can cause; ``exit_status`` is what the command returns."""

    exit_status = 1


class UsageError(ExplainerError):
    """The command line asks for something that does not exist or cannot be combined."""

    exit_status = 2


class StudyError(ExplainerError):
    """A study that cannot be published as it stands; ``problems`` holds each reason."""

    exit_status = 3

    def __init__(self, problems: Problem | tuple[Problem, ...] | list[Problem]) -> None:
        self.problems: tuple[Problem, ...] = (
            (problems,) if isinstance(problems, Problem) else tuple(problems)
        )
        super().__init__("\n".join(str(p) for p in self.problems))

    def __reduce__(self) -> tuple[type[StudyError], tuple[object, ...]]:
        """As it was raised: a study may fail in another process."""
        return type(self), (self.problems,)


class DescriptionError(StudyError):
    """study.yaml cannot be read or contradicts itself."""


class TableError(StudyError):
    """A CSV file cannot be read, or a value in it is impossible."""


class WorkspaceError(StudyError):
    """The workspace's own settings, glossary or templates are faulty."""


class OurFault(StudyError):
    """A fault of ours that one study met: no reason to keep the others from being published.

    ``trace`` says where in the program it arose, for ``--debug``.
    """

    exit_status = 1

    def __init__(
        self, problems: Problem | tuple[Problem, ...] | list[Problem], trace: str = ""
    ) -> None:
        super().__init__(problems)
        self.trace = trace

    @classmethod
    def of(cls, fault: Exception) -> OurFault:
        """What is said of a study when ``fault`` arises, which nobody expected."""
        problem = Problem(
            "study.yaml", found=ours(fault),
            happens="this study is left out; run again with --debug before the command to see "
            "where",
        )  # fmt: skip
        return cls(problem, "".join(traceback.format_exception(fault)))

    def __reduce__(self) -> tuple[type[StudyError], tuple[object, ...]]:
        return type(self), (self.problems, self.trace)


def ours(fault: Exception) -> str:
    """A fault nobody expected, in words."""
    return f"a fault of explainer, not of your files ({type(fault).__name__}: {fault})"


#: What libraries say, beside MemoryError, where the memory does not suffice.
_NO_MEMORY = ("start new thread", "failed to map", "cannot allocate", "cannot apply additional")


def little_memory(fault: Exception) -> bool:
    """Whether what went wrong is that the memory, or a limit on it, does not suffice."""
    little = any(sign in str(fault).lower() for sign in _NO_MEMORY)
    return isinstance(fault, MemoryError) or (
        little and isinstance(fault, RuntimeError | ImportError)
    )


class OutputError(ExplainerError):
    """The site could not be written; whatever was published before is untouched."""

    exit_status = 4


class TargetBusyError(OutputError):
    """Another publish is writing to the same place."""


class BrokenPageError(OutputError):
    """A finished page links to something that is not there, or would need the network."""


# Spelling help: the known name most like the one that was found.

def nearest(name: str, known: Iterable[str]) -> str | None:
    """The known name spelled most like ``name``, None where nothing is close."""
    names = {k.casefold().replace("_", "-"): k for k in known}
    folded = name.casefold().replace("_", "-")[:120]
    close = difflib.get_close_matches(folded, names, n=1, cutoff=0.6)
    return names[close[0]] if close else None


def hint(name: str, known: Iterable[str]) -> str:
    """``did you mean `x`?`` or an empty string; with what differs where that is hardly seen."""
    close = nearest(name, known)
    return f"did you mean `{close}`?{unlike(name, close)}" if close and close != name else ""


def unlike(name: str, other: str) -> str:
    """Where ``other`` has another character that no keyboard's plain key gives (a Cyrillic а for an
    a, a space of another width, two for one): which, by number and name; else nothing."""
    a, b = name[:_SHOWN], other[:_SHOWN]
    plain = "!" if a.split() == b.split() else " "  # two spaces look like one
    for kind, i, j, k, m in difflib.SequenceMatcher(None, a, b, False).get_opcodes():
        if kind != "equal" and not all(plain <= sign <= "~" for sign in a[i:j] + b[k:m]):
            return f" it has {_character(b[k:m])} where {_character(a[i:j])} was found"
    return ""


def _character(text: str) -> str:
    if not text:
        return "nothing"
    return f"U+{ord(text[0]):04X} ({unicodedata.name(text[0], 'without a name').lower()})"


def listed(names: Iterable[str], most: int = 12) -> str:
    """Names in the order given, each marked as text of the file: `a`, `b`, `c`, …"""
    names = list(names)
    more = ", …" if len(names) > most else ""
    return ", ".join(f"`{n}`" for n in names[:most]) + more
