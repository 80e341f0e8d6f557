"""What we ship is read by a quicker parser, which says the same of every file of it."""

from __future__ import annotations

from pathlib import Path

import pytest

from explainer.errors import DescriptionError
from explainer.study.yaml12 import read, read_ours

ROOT = Path(__file__).parents[2]
SHIPPED = sorted(
    path for folder in ("glossary", "templates") for path in (ROOT / folder).rglob("*.yaml")
)


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: str(path.relative_to(ROOT)))
def test_what_we_ship_is_the_same_document_with_the_same_places(path: Path) -> None:
    data = path.read_bytes()
    assert read_ours(data, path.name) == read(data, path.name)


@pytest.mark.parametrize("text", ["a: [1", "a: b: c", "a: *b", "&a b", "a: !x y", "<<: {a: 1}"])
def test_a_fault_of_ours_is_told_like_anybodys(text: str) -> None:
    said = []
    for reader in (read, read_ours):
        with pytest.raises(DescriptionError) as refused:
            reader(text.encode(), "ours.yaml")
        said.append(refused.value.problems)
    assert said[0] == said[1]
