"""Where in study.yaml something stands: a value, or some words inside a longer text."""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import replace

from explainer.errors import Problem
from explainer.study.load import DESCRIPTION
from explainer.study.model import Study

Path = tuple[str | int, ...]


class Places:
    """Places of a study's description, as problems that are warnings."""

    def __init__(self, study: Study) -> None:
        self._places = study.places
        self._starts = sorted(study.places.values())
        text = (study.folder / DESCRIPTION).read_text(encoding="utf-8", errors="replace")
        self._lines = text.splitlines()

    def of(self, path: Path) -> tuple[int, int]:
        """Line and column of the value at ``path``, else of what encloses it."""
        while path and path not in self._places:
            path = path[:-1]
        return self._places.get(path, (1, 1))

    def pinpointed(self, problem: Problem) -> Problem:
        """A problem about a text as one about the ``{reference}`` in it that was not found."""
        if problem.file != DESCRIPTION or problem.code != "reference":
            return problem
        for number in range(problem.line, len(self._lines) + 1):
            line, first = self._lines[number - 1], number == problem.line
            column = line.find(problem.found, problem.column - 1 if first else 0)
            if column >= 0:
                return replace(problem, line=number, column=column + 1)
        return problem

    def inside(self, path: Path, words: str) -> tuple[int, int]:
        """Where ``words`` stand in the text at ``path``; its beginning where they run over."""
        first = self.of(path)
        after = bisect_right(self._starts, first)
        last = self._starts[after][0] if after < len(self._starts) else len(self._lines)
        for number in range(first[0], max(first[0], last) + 1):
            line = self._lines[number - 1] if number <= len(self._lines) else ""
            column = line.find(words, first[1] - 1 if number == first[0] else 0)
            if column >= 0:
                return number, column + 1
        return first

    def weak(
        self, path: Path, found: str, expected: str, happens: str, code: str, words: str = ""
    ) -> Problem:
        """A warning about the value at ``path``, or about some of its ``words``."""
        line, column = self.inside(path, words) if words else self.of(path)
        return Problem(
            DESCRIPTION, line, column, found=found, expected=expected, happens=happens,
            severity="warning", code=code,
        )  # fmt: skip
