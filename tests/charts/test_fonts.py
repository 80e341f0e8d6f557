"""The faces: their names, their letters, and widths that agree with what is drawn."""

from __future__ import annotations

import re
from collections.abc import Iterator

import make_faces
import pytest
from fontTools.ttLib import TTFont
from matplotlib.ft2font import FT2Font
from matplotlib.textpath import TextPath

from explainer.charts import fonts, stills


@pytest.mark.parametrize("face", fonts.CUT)
def test_a_cut_face_does_not_bear_the_reserved_name(face: fonts.Face) -> None:
    names = TTFont(fonts.path(face))["name"].names
    shown = [str(n.toUnicode()) for n in names if n.nameID in (1, 2, 3, 4, 6, 16, 17)]
    assert shown
    assert not [name for name in shown if "source" in name.lower()]


@pytest.mark.parametrize("face", ["sans", "serif-italic"])
def test_the_kept_faces_are_what_the_maker_cuts(face: str) -> None:
    again, kept = make_faces.cut(face), TTFont(fonts.path(face))  # type: ignore[arg-type]
    assert again.getBestCmap().keys() == kept.getBestCmap().keys()
    assert again["head"].modified == kept["head"].modified


def test_widths_are_those_of_the_font_itself() -> None:
    font = TTFont(fonts.path("serif-italic"))
    units, cmap, metrics = font["head"].unitsPerEm, font.getBestCmap(), font["hmtx"]
    for letter in "aWé−…":
        expected = metrics[cmap[ord(letter)]][0] / units * 20
        assert fonts.width(letter, 20, "serif-italic") == pytest.approx(expected, abs=0.02)


@pytest.mark.parametrize("text", ["Cover roughness, microinches", "−1,234.5 → 60 games", "iiiWWW"])
def test_a_text_is_as_wide_as_it_is_drawn(text: str) -> None:
    stills._register()
    drawn = TextPath((0, 0), text, size=20, prop=stills._font("sans", 20, True)).get_extents().width
    assert fonts.width(text, 20) == pytest.approx(drawn, rel=0.03, abs=2)


def test_the_page_carries_every_face_and_nothing_from_elsewhere() -> None:
    css = fonts.face_css(True, "Plain words: 0.5–2 in² → 60 games")
    assert css.count("@font-face") == len(fonts.CUT)
    assert len(css) < 80_000
    assert not re.search(r"url\((?!data:)", css)
    assert "Reserved Font Name" in (fonts.FACES / "LICENSE.txt").read_text("utf-8")


@pytest.mark.parametrize("letter", ["Ł", "σ", "ÿ"])
def test_rarer_letters_come_with_the_page_that_has_one(letter: str) -> None:
    css = fonts.face_css(True, f"a name with {letter}")
    assert css.count("@font-face") == 2 * len(fonts.CUT)
    assert f"U+{ord(letter):X}" in css
    assert css == fonts.face_css(True)


@pytest.mark.parametrize("face", fonts.CUT)
def test_the_two_parts_of_a_face_hold_all_its_letters(face: fonts.Face) -> None:
    both = [set(TTFont(fonts.FACES / f"{face}{p}.woff2").getBestCmap()) for p in ("", "-more")]
    assert both[0] | both[1] == set(TTFont(fonts.path(face)).getBestCmap())
    assert both[0] & both[1] <= {0x20, 0xA0}
    assert {ord(letter) for letter in "aZ09’“–−±"} <= both[0]


def test_wrapped_lines_fit_and_lose_nothing() -> None:
    text = "a remark of several words, one of them supercalifragilistic, that must be wrapped"
    lines = fonts.wrap(text, 10, "serif-italic", 60)
    assert all(fonts.width(line, 10, "serif-italic") <= 60 for line in lines)
    assert "".join(lines).replace(" ", "") == text.replace(" ", "")


def test_balanced_lines_are_no_more_and_break_no_word_that_fits() -> None:
    text = "nothing measured past 60"
    lines = fonts.balanced(text, 8.5, "sans", 50)
    assert len(lines) <= len(fonts.wrap(text, 8.5, "sans", 50))
    assert " ".join(lines) == text


def test_a_shortened_text_says_so_and_fits() -> None:
    short = fonts.shorten("The Plover with the long name", 9, "sans", 60)
    assert short.endswith("…")
    assert fonts.width(short, 9) <= 60


@pytest.mark.parametrize("face", fonts.CUT)
def test_every_letter_of_a_still_is_as_wide_as_we_reckon(face: fonts.Face) -> None:
    """Signs put together from parts (%, …, ½) once took the width of a part, and met the next."""
    font = FT2Font(str(fonts.path(face)))
    font.set_size(100, 72)
    apart = {}
    for letter in sorted(set(make_faces.CHARACTERS) & set(fonts._widths()[face])):
        font.set_text(f"H{letter}H")
        drawn = font.get_width_height()[0] / 64 - 2 * fonts.width("H", 100, face)
        if letter != "\xad" and abs(drawn - fonts.width(letter, 100, face)) > 14:
            apart[letter] = (drawn, fonts.width(letter, 100, face))
    assert apart == {}


@pytest.mark.parametrize(
    ("drawn", "faces"),
    [
        ("<text>plain</text>", {("Sans", "400"), ("Sans", "600")}),
        ("{font: 1rem var(--serif)}", {("Sans", "400"), ("Sans", "600"), ("Serif", "400"),
                                      ("Serif", "600")}),
        (f'<g font-family="{fonts.STACK["Fieldguide Serif"]}" font-style="italic">',
         {("Sans", "400"), ("Sans", "600"), ("Serif", "400")}),
    ],
)  # fmt: skip
def test_a_page_carries_only_the_faces_that_it_shows(drawn, faces):
    css = fonts.face_css(True, "Plain words", drawn)
    found = re.findall(r"family:'Fieldguide (\w+)';font-weight:(\d+);font-style:(\w+)", css)
    assert {(family, weight) for family, weight, _ in found} == faces
    assert len(found) == (5 if "var" in drawn else len(faces))


@pytest.mark.parametrize("word", ["k" * 5_000, "球が滑らか" * 1_000])
def test_a_word_as_long_as_a_text_is_gone_through_a_few_times_and_not_for_each_letter(
    monkeypatch: pytest.MonkeyPatch, word: str
) -> None:
    looked = 0
    each = fonts._each

    def counted(text: str, face: fonts.Face) -> Iterator[int]:
        nonlocal looked
        looked += len(text)
        return each(text, face)

    monkeypatch.setattr(fonts, "_each", counted)
    lines = fonts.wrap(word, 10.03, "sans", 100)
    assert "".join(lines) == word
    assert all(fonts.width(line, 10.03, "sans") <= 100 for line in lines)
    short = fonts.shorten(word, 10.03, "sans", 100)
    assert word.startswith(short[:-1]) and fonts.width(short, 10.03, "sans") <= 100
    assert fonts.width(word[: len(short)] + "…", 10.03, "sans") > 100
    assert looked < 8 * len(word)
