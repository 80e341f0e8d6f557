"""A workspace’s own styles and templates can ask for any memory and time, and get little."""

from __future__ import annotations

from pathlib import Path

import pytest

from explainer.editions.page import style
from explainer.editions.pdf import lay_out
from explainer.editions.press import Bounds, press
from explainer.errors import WorkspaceError
from explainer.publish.workers import from_folder
from explainer.study.load import open_workspace
from explainer.study.shipped import shipped

OURS = shipped("templates")
SMALL = "<!DOCTYPE html><html lang=en><title>t</title><p>A page."
#: Cells that each span a thousand columns and rows.
WIDE = "<!DOCTYPE html><html lang=en><title>t</title><table>" + (
    "<tr>" + "<td colspan=999 rowspan=999>x" * 30) * 90  # fmt: skip
NESTED = "<!DOCTYPE html><html lang=en><title>t</title>" + "<div>" * 1_100
LONG = "<!DOCTYPE html><html lang=en><title>t</title>" + "<h1 style='break-before:page'>x</h1>" * 9
NO_SIZE = "<!DOCTYPE html><html lang=en><title>t</title><style>*{font-size:1e9px}</style><p>x"


@pytest.fixture
def folders(tmp_path: Path) -> tuple[Path, ...]:
    """Templates folders, the first of which is a stranger's."""
    theirs = tmp_path / "templates"
    theirs.mkdir()
    (theirs / "print.css").write_text("p { color: black }")
    return theirs, OURS


def test_pages_of_ours_are_set_here() -> None:
    with press((OURS,)) as ours:
        assert ours is lay_out


def test_another_process_makes_the_same_bytes(folders: tuple[Path, ...]) -> None:
    page = f"<!DOCTYPE html><html lang=en><title>t</title><style>{style((OURS,), 'print')}</style>"
    pages = (page + "<h1>One</h1><p>A ball’s cover.", page + "<p>Another.")
    with press(folders) as apart:
        first, second = map(apart, pages)
        assert [first.pages, second.pages] == [lay_out(html).pages for html in pages]
        assert second.pdf() == lay_out(pages[1]).pdf()
        assert first.pdf() == lay_out(pages[0]).pdf()  # which was not the last that was set


BEYOND = {
    "memory": (WIDE, Bounds(megabytes=20), "too much memory", "at most 20 megabytes"),
    "processor": (WIDE * 2, Bounds(seconds=0.1, seconds_a_million=0, patience=9e3), "too long",
                  "at most 0.1 seconds"),
    "clock": (WIDE, Bounds(patience=0.02), "too long", "at most 40 seconds"),
    "characters": (WIDE, Bounds(characters=999), "characters", "at most 999"),
    "pages": (LONG, Bounds(pages=7), "9 pages", "at most 7"),
    "bytes": (SMALL, Bounds(bytes=100), "a PDF of", "at most 100"),
    "depth": (NESTED, Bounds(), "nested too deeply", "can be set on paper"),
    "numbers": (NO_SIZE, Bounds(), "cannot be set on paper (Zero", "can be set on paper"),
}  # fmt: skip


@pytest.mark.parametrize("case", BEYOND)
def test_what_takes_too_much_is_one_line(case: str, folders: tuple[Path, ...]) -> None:
    html, bounds, found, expected = BEYOND[case]
    with press(folders, bounds) as apart, pytest.raises(WorkspaceError) as refused:
        apart(html).pdf()
    (problem,) = refused.value.problems
    assert str(problem).startswith("templates/print.css:1:1: found ")
    assert found in problem.found and expected in problem.expected
    assert problem.happens == "no PDF can be made with it, and nothing of this study is published"


def test_what_a_page_tries_to_load_is_refused_with_the_file(folders: tuple[Path, ...]) -> None:
    with press(folders) as apart, pytest.raises(WorkspaceError) as refused:
        apart(f"{SMALL}<img src='file:///etc/x' alt=x>").pdf()
    said = "templates/print.css:1:1: found `file:///etc/x`, asked for while the PDF was made"
    assert str(refused.value).startswith(said)


def test_a_study_whose_style_cannot_be_set_is_not_built(stranger) -> None:  # type: ignore[no-untyped-def]
    """As every study with a problem it leaves what was published before."""
    stranger.write()
    own = stranger.root / "templates"
    own.mkdir()
    (own / "print.css").write_text("@page { size: 0 0; margin: 0 } * { font-size: 1e9px }")
    (own / "extra.css").write_text("")
    with pytest.raises(WorkspaceError) as refused:
        from_folder(stranger.folder, open_workspace(stranger.root), ["page"])
    said = str(refused.value)
    assert said.startswith("templates:1:1: found a page that cannot be set on paper (")
    assert "(with extra.css, print.css)" in said
