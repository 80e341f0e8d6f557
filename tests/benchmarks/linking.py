"""How long linking takes: 1,000 terms over 50,000 words.  Run by hand; prints, asserts nothing.

python tests/benchmarks/linking.py
"""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import replace
from itertools import cycle, islice
from pathlib import Path

from explainer.words.glossary.entries import Glossary, load_glossary
from explainer.words.glossary.linker import TermFinder, TermLinker, finder_for

SHIPPED = Path(__file__).parents[2] / "glossary"
TERMS, WORDS, SECTION = 1_000, 50_000, 120


def fastest(what: str, run: Callable[[], object], times: int = 5) -> None:
    seconds = []
    for _ in range(times):
        start = time.perf_counter()
        run()
        seconds.append(time.perf_counter() - start)
    print(f"{what:<58}{1000 * min(seconds):9.1f} ms  (best of {times})")


def enlarged(glossary: Glossary, size: int) -> Glossary:
    """The glossary, filled up with made-up terms of two words that begin like real ones."""
    firsts = cycle(e.term.split()[0] for e in glossary.entries)
    more = tuple(
        replace(e, term=f"{next(firsts)} zz{i}", also=(), only_near=())
        for i, e in zip(range(size - len(glossary.entries)), cycle(glossary.entries), strict=False)
    )
    return Glossary(glossary.entries + more)


def main() -> None:
    fastest("read the glossary from its files", lambda: load_glossary((SHIPPED,)))
    shipped = load_glossary((SHIPPED,))
    large = enlarged(shipped, TERMS)
    texts = (t for e in cycle(shipped.entries) for t in (e.explained, e.careful) if t)
    words = list(islice((w for t in texts for w in t.split()), WORDS))
    sections = [" ".join(words[i : i + SECTION]) for i in range(0, WORDS, SECTION)]
    whole = " ".join(words)
    print(f"{len(large.entries)} terms, {len(words)} words, {len(sections)} sections")
    fastest("build the tree of names", lambda: TermFinder(large))
    finder = finder_for(large)
    fastest("find every term in one long text", lambda: list(finder.find(whole)))

    def link(method: str) -> None:
        linker = TermLinker(large, lambda entry: f"glossary/#{entry.slug}")
        for section in sections:
            linker.section()
            getattr(linker, method)(section)

    fastest("link plain sentences, section by section", lambda: link("sentence"))
    fastest("link Markdown, section by section (parsing included)", lambda: link("prose"))


if __name__ == "__main__":
    main()
