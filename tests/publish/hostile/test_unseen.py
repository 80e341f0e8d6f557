"""What nobody sees, or what turns text around, is in no text that is told on.

The characters are those of the Unicode Standard: Bidi_Control, Default_Ignorable_Code_Point and the
general categories Cc, Zl, Zp (from memory; the names come from the interpreter's own table).
"""

from __future__ import annotations

import json
import unicodedata

import pytest

from explainer.errors import TableError, WorkspaceError, hint
from explainer.study.files import FileFault, read_file
from explainer.study.load import load_study, open_workspace
from explainer.study.unseen import first_unseen, maybe_unseen, seen
from explainer.words.glossary.entries import load_glossary

UNSEEN = [
    "\u202a", "\u202b", "\u202c", "\u202d", "\u202e", "\u2066", "\u2067", "\u2068", "\u2069",
    "\u200e", "\u200f", "\u061c", "\u200b", "\u200c", "\u200d", "\u2060", "\ufeff", "\u00ad",
    "\u180e", "\u3164", "\u115f", "\uffa0", "\u2028", "\u2029", "\x07", "\x1b", "\x7f", "\x9b",
    "\u2800", "\U00013430", "\U00016fe4", "\U0001107f", "\U0001d159",
    "\u034f", "\ufe0f", "\U000e0041", "\U000e0101", "\ufdd0", "\ufff9", "\u206a", "\U0001d173",
    "\ufffc", "\ue000", "\uf8ff", "\U000f0000", "\U0010fffd", "\U0010ffff",
]  # fmt: skip
#: Joiners and variants where a script or a picture needs them; other spaces; accents.
SEEN = [
    "", "plain", "Straße", "e\u0301", "שלום", "مرحبا", "می\u200cخواهم", "क्\u200dष", "👩\u200d🚀",
    "❤\ufe0f", "©\ufe0f", "1\ufe0f\u20e3", "a\u00a0b", "a\u2009b", "½ ″ × −", "a\tb\nc",
    "\ufffd", "豈", "ﬁ", "𠀀",
]  # fmt: skip


@pytest.mark.parametrize("character", UNSEEN, ids=ascii)
def test_it_is_found_wherever_it_stands(character):
    for text in (character, f"B{character}1", f"{character}B1", f"B1{character}", f"ä{character}1"):
        assert text[first_unseen(text)] == character
        assert maybe_unseen(text.encode())
        assert character not in seen(text)


@pytest.mark.parametrize("text", SEEN, ids=ascii)
def test_what_a_script_needs_may_stand(text):
    assert first_unseen(text) is None
    assert seen(text) == unicodedata.normalize("NFC", text)


def test_what_is_found_in_bytes_is_never_less_than_in_text():
    for code in range(0x110000):
        character = chr(code)
        if not 0xD800 <= code < 0xE000 and first_unseen(character) is not None:
            assert maybe_unseen(character.encode()) or code in (0x200C, 0x200D), hex(code)


@pytest.mark.parametrize("character", ["\u202e", "\u200b", "\u2066", "\x1b", "\u00ad"], ids=ascii)
@pytest.mark.parametrize("coded", [True, False])
def test_in_a_description_it_is_refused_in_its_place(stranger, character, coded):
    stranger.set("title", f"Rough{character}er")
    text = json.dumps(stranger.said, ensure_ascii=coded, indent=1)
    if not coded:
        text = text.replace(json.dumps(character)[1:-1], character)
    stranger.raw("study.yaml", text)
    with pytest.raises(Exception, match=r"not seen|control character") as caught:
        load_study(stranger.folder, open_workspace(stranger.root))
    (line,) = str(caught.value).splitlines()
    assert line.isprintable()
    assert line.startswith("study.yaml:2:"), line


@pytest.mark.parametrize("character", ["\u202e", "\u200b", "\u200d", "\x07"], ids=ascii)
@pytest.mark.parametrize(("row", "column"), [(1, "texture"), (3, "ball"), (5, "remark")])
def test_in_a_table_it_is_refused_with_its_cell(stranger, character, row, column):
    """Also in a column that nothing names: it would be in the download."""
    stranger.write()
    lines = [["ball", "model", "games", "texture", "remark"]]
    lines += [[f"B{n}", "Plover", str(g), str(70 - g / 4 + n), "fine"]
              for n in range(6) for g in (0, 60)]  # fmt: skip
    at = lines[0].index(column)
    lines[row - 1][at] = lines[row - 1][at][:2] + character + lines[row - 1][at][2:]
    stranger.raw("readings.csv", "".join(f"{','.join(cells)}\n" for cells in lines))
    with pytest.raises(Exception, match="which is not seen") as caught:
        load_study(stranger.folder, open_workspace(stranger.root))
    line = str(caught.value).splitlines()[0]
    assert line.startswith(f"readings.csv: row {row}, column {column}: found ")
    assert line.isprintable()
    assert f"U+{ord(character):04X}" in line


def test_in_a_glossary_it_is_refused_in_its_place(stranger):
    (stranger.root / "glossary").mkdir()
    (stranger.root / "glossary" / "own.yaml").write_text(
        "- term: lane\n  plainly: 'what\u202e is rolled on'\n", "utf-8"
    )
    with pytest.raises(WorkspaceError, match=r"own\.yaml:2:17: found .*U\+202E"):
        load_glossary((stranger.root / "glossary",))


def test_a_name_of_nothing_but_what_is_not_seen_has_its_place(stranger):
    stranger.write()
    text = (stranger.folder / "readings.csv").read_text("utf-8")
    stranger.raw("readings.csv", text.replace("model", "\u200b", 1))
    with pytest.raises(Exception, match=r"readings\.csv: row 1, column 2: found .*U\+200B"):
        load_study(stranger.folder, open_workspace(stranger.root))


@pytest.mark.parametrize("form", ["NFC", "NFD"])
def test_accents_are_one_text_however_they_are_coded(stranger, form):
    """In names of files too: one system keeps them in one way, another in the other."""
    stranger.set("tables.readings.file", "ré.csv")
    stranger.write(in_names="é")
    table = (stranger.folder / "readings.csv").read_text("utf-8")
    (stranger.folder / "readings.csv").unlink()
    other = "NFD" if form == "NFC" else "NFC"
    (stranger.folder / unicodedata.normalize(form, "ré.csv")).write_text(
        unicodedata.normalize(other, table[: len(table) // 2])
        + unicodedata.normalize(form, table[len(table) // 2 :]), "utf-8",
    )  # fmt: skip
    study = load_study(stranger.folder, open_workspace(stranger.root))
    items = set(study.tables["readings"].frame["ball"].astype(str))
    assert items == {f"B{n}é" for n in range(6)}


@pytest.mark.parametrize(("one", "other"), [("B1", "В1"), ("B1", "Ｂ1"), ("HOX", "НОХ")])
def test_names_that_look_the_same_are_told(stranger, one, other):
    """Cyrillic and wide letters: two balls for the tool, one for whoever reads."""
    stranger.write()
    text = (stranger.folder / "readings.csv").read_text("utf-8")
    text = text.replace("B1,", f"{one},").replace("B2,", f"{other},")
    stranger.raw("readings.csv", text)
    study = load_study(stranger.folder, open_workspace(stranger.root))
    assert any(p.code == "spelled-twice" and other in p.found for p in study.warnings)


@pytest.mark.parametrize(
    ("found", "known", "says"),
    [
        ("t\u0435xture", "texture", "it has U+0065 (latin small letter e) where U+0435 (cyrillic "
                                    "small letter ie) was found"),
        ("total\u00a0hook", "total hook", "it has U+0020 (space) where U+00A0 (no-break space) was "
                                          "found"),
        ("total  hook", "total hook", "it has nothing where U+0020 (space) was found"),
        ("hoo\u212a", "hook", "it has U+006B (latin small letter k) where U+212A (kelvin sign) was "
                              "found"),
        ("hok", "hook", ""),
        ("Hook", "hook", ""),
        ("total_hook", "total-hook", ""),
    ],
)  # fmt: skip
def test_a_name_that_looks_the_same_is_offered_with_what_differs(found, known, says):
    assert hint(found, [known, "something else"]) == f"did you mean `{known}`? {says}".rstrip()


def test_a_file_that_looks_the_same_is_offered_with_what_differs(tmp_path):
    (tmp_path / "readings.csv").write_text("a")
    with pytest.raises(FileFault) as caught:
        read_file(tmp_path, "r\u0435adings.csv", 10)
    assert "where U+0435 (cyrillic small letter ie) was found" in caught.value.hint


def test_the_very_same_name_is_never_offered():
    assert hint("hook", ["hook"]) == ""


@pytest.mark.parametrize("sign", ["\n", "\r\n", "\r", "\t"], ids=ascii)
def test_a_name_of_two_lines_is_refused_in_one(stranger, sign):
    """A page shows it like the same name with a space, which is another item."""
    stranger.write(in_names=f"{sign}X")
    with pytest.raises(TableError) as caught:
        load_study(stranger.folder, open_workspace(stranger.root))
    said = str(caught.value.problems[0])
    shown = ascii("\n" if sign == "\r" else sign)[1:-1]  # a lone return is a line's end of old
    assert said.startswith(f"readings.csv: row 2, column ball: found `B0{shown}X`, expected a name")
    assert "on one line" in said and said.isprintable()
