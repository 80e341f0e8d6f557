"""A workspace that tells results in words of its own is said to, where it cannot leave that out."""

from __future__ import annotations

import json

import pytest

from explainer.editions.own_words import MOST, own_templates
from explainer.proof.read import proofread
from explainer.publish.workers import from_folder
from explainer.study.load import open_workspace
from explainer.study.shipped import shipped

LIE = "label.backed: Proved beyond doubt\nstates: {nothing: [label]}\n"
SAID = "templates of its own, which are not explainer’s: "


def own(stranger, name: str, text: str) -> None:
    path = stranger.root / "templates" / name
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text, "utf-8")


def warned(stranger) -> list[str]:
    found = proofread(stranger.folder, open_workspace(stranger.root))
    assert [p for p in found if p.severity == "error"] == []
    return [str(p) for p in found if p.code == "own-words"]


@pytest.mark.seldom
def test_our_own_templates_are_nobody_s_own(stranger):
    stranger.write()
    assert warned(stranger) == []
    files = from_folder(stranger.folder, open_workspace(stranger.root)).files
    assert SAID not in files["index.html"].decode()
    assert own_templates((shipped("templates"),)) == ()


@pytest.mark.seldom
@pytest.mark.slow
def test_every_edition_that_is_read_says_so(stranger):
    stranger.set("editions", ["page", "handout", "script"])
    own(stranger, "phrases/claims.yaml", LIE)
    own(stranger, "page.html.j2", "<!DOCTYPE html><html lang=en><title>t</title><p>Backed!")
    stranger.write()
    (line,) = warned(stranger)
    assert "page.html.j2, phrases/claims.yaml" in line and "warning: " in line
    files = from_folder(stranger.folder, open_workspace(stranger.root)).files
    pages = [name for name in files if name.endswith(".html")]
    assert {"index.html", "alone/claim-falls.html", "script/script.html", "script/stills.html",
            "script/prompter.html"} <= set(pages)  # fmt: skip
    for name in pages:
        assert files[name].decode().count(f"{SAID}page.html.j2, phrases/claims.yaml.") == 1, name
    assert "page.html.j2, phrases/claims.yaml" in files["script/script.md"].decode()
    for name in ("explainer.pdf", "handout.pdf"):
        assert "not explainer’s" in printed(files[name]), name
    said = json.loads(files["results.json"])
    assert "Proved" not in json.dumps(said)  # no word of it is in what was worked out


def printed(pdf: bytes) -> str:
    """The text of a PDF on one line, typographic apostrophes as they stand."""
    pdfium = pytest.importorskip("pypdfium2")
    pages = pdfium.PdfDocument(pdf)
    return " ".join(" ".join(p.get_textpage().get_text_range() for p in pages).split())


@pytest.mark.parametrize("name", ["en.yaml", "en/claims.yaml", "xx.yaml"])
def test_words_of_a_language_that_nobody_reads_are_told_and_on_no_page(stranger, name):
    own(stranger, f"languages/{name}", "[1]")
    stranger.write()
    [line] = warned(stranger)
    assert line.startswith(f"templates/languages/{name}:") and "these are not read" in line
    files = from_folder(stranger.folder, open_workspace(stranger.root)).files
    assert SAID not in files["index.html"].decode()


def test_a_name_is_told_as_text_and_many_are_counted(stranger):
    own(stranger, "phrases/<b>\u202ex.yaml", "a.b: x\nstates: {nothing: [a]}\n")
    for n in range(40):
        own(stranger, f"unused/{n:02d}.j2", "x")
    own(stranger, "notes.txt", "no template")
    names = own_templates(open_workspace(stranger.root).template_folders)
    assert len(names) == 41 and "notes.txt" not in names
    from explainer.editions.own_words import said_whose

    page = said_whose("<body>x</body>", names)
    assert "phrases/&lt;b&gt;x.yaml, unused/00.j2" in page and "and 35 more" in page
    assert page.endswith("</footer>\n</body>")


def test_a_folder_without_end_is_not_walked_to_it(stranger):
    for n in range(MOST + 20):
        own(stranger, f"deep/{n}/x.j2", "x")
    assert len(own_templates(open_workspace(stranger.root).template_folders)) <= MOST + 20
    assert len(own_templates(open_workspace(stranger.root).template_folders)) >= MOST


def test_a_linked_folder_and_a_name_in_capitals_are_told_too(stranger):
    """Templates are found through a link inside the workspace, which no walk follows."""
    elsewhere = stranger.root / "elsewhere"
    elsewhere.mkdir()
    (elsewhere / "colophon.html.j2").write_text("Proved beyond doubt.")
    own(stranger, "PAGE.HTML.J2", "x")
    (stranger.root / "templates" / "parts").symlink_to(elsewhere)
    names = own_templates(open_workspace(stranger.root).template_folders)
    assert names == ("PAGE.HTML.J2", "parts/")


def test_a_template_behind_thousands_of_empty_folders_is_told(stranger, monkeypatch):
    monkeypatch.setattr("explainer.editions.own_words._FOLDERS", 5)
    for n in range(9):
        (stranger.root / "templates" / f"a{n}").mkdir(parents=True)
    own(stranger, "parts/colophon.html.j2", "Proved beyond doubt.")
    assert own_templates(open_workspace(stranger.root).template_folders)
