"""Cuts the five faces in ``explainer/charts/faces/`` from the packaged fonts; run to renew them.

    python tests/charts/make_faces.py

The fonts come from the packages ``font-source-sans-pro`` and ``font-source-serif-pro``, under
the SIL Open Font License 1.1, which reserves their name: a changed version must not bear it,
so the cut faces are called Fieldguide Sans and Fieldguide Serif.  Their licence text lies
beside them.  Cutting takes over a second and wants 6 MB of fonts and a font editor, which is
why the result is kept: publishing only reads it.  ``test_fonts.py`` cuts them again and compares.
"""

from __future__ import annotations

import json
from importlib.resources import files
from io import BytesIO

from fontTools.subset import Options, Subsetter
from fontTools.ttLib import TTFont
from fontTools.ttLib.tables._g_l_y_f import USE_MY_METRICS

from explainer.charts.fonts import COMMON, FACES

#: Our name of the face -> (package, file, family, style).
SOURCES = {
    "sans": ("font_source_sans_pro", "SourceSansPro-Regular.ttf", "Fieldguide Sans", "Regular"),
    "sans-bold": (
        "font_source_sans_pro",
        "SourceSansPro-Semibold.ttf",
        "Fieldguide Sans",
        "Semibold",
    ),
    "serif": ("font_source_serif_pro", "SourceSerifPro-Regular.ttf", "Fieldguide Serif", "Regular"),
    "serif-italic": (
        "font_source_serif_pro",
        "SourceSerifPro-It.ttf",
        "Fieldguide Serif",
        "Italic",
    ),
    "serif-bold": (
        "font_source_serif_pro",
        "SourceSerifPro-Semibold.ttf",
        "Fieldguide Serif",
        "Semibold",
    ),
}

CHARACTERS = (
    "".join(map(chr, (*range(0x20, 0x7F), *range(0xA0, 0x100))))
    + "ĀāĂăĄąĆćČčĎďĐđĒēĘęĚěĞğĪīİıŁłŃńŇňŌōŐőŒœŘřŚśŞşŠšŤťŪūŮůŰűŸŹźŻżŽž"
    + "\u2009\u202f–—‘’‚“”„†•…′″€™"
    + "←↑→↓−≈≠≤≥∞√∆⅓⅔⅛⅜⅝⅞⁰⁴⁵⁶⁷⁸⁹₀₁₂"
    + "αβγδΔεηθκλμπρσΣτφχωΩ"
)


def cut(name: str, characters: str = CHARACTERS) -> TTFont:
    """One face with these characters only, under our own family name, without hinting."""
    package, file, family, style = SOURCES[name]
    font = TTFont(BytesIO((files(package) / "files" / file).read_bytes()), recalcTimestamp=False)
    options = Options()
    options.layout_features = ["kern", "liga", "mark"]
    options.hinting = False
    options.notdef_outline = True
    options.name_IDs = [0, 1, 2, 3, 4, 5, 6, 13, 14, 16, 17]
    options.drop_tables += ["DSIG"]
    options.recalc_timestamp = False
    cutter = Subsetter(options)
    cutter.populate(unicodes=[ord(c) for c in characters])
    cutter.subset(font)
    rename(font, family, style)
    keep_advances(font)
    return font


def keep_advances(font: TTFont) -> None:
    """Every glyph keeps its own width, also one put together from others.

    A per cent sign or an ellipsis may ask to be as wide as one of its parts; FreeType, which
    draws the stills, obeys, and the next word is then set over it.
    """
    for glyph in font["glyf"].glyphs.values():
        glyph.expand(font["glyf"])
        for part in glyph.components if glyph.isComposite() else ():
            part.flags &= ~USE_MY_METRICS


def rename(font: TTFont, family: str, style: str) -> None:
    """Takes the reserved name out of every record that names the font."""
    names = font["name"]
    full = f"{family} {style}"
    records = {1: family, 2: style, 3: f"{full}; cut for explainer", 4: full,
               6: full.replace(" ", "-"), 16: family, 17: style}  # fmt: skip
    for record, text in records.items():
        names.removeNames(nameID=record)
        names.setName(text, record, 3, 1, 0x409)


def main() -> None:
    """Writes each face as TTF (for PDF and stills), as two WOFF2 (for pages), and the widths."""
    rest = "".join(c for c in CHARACTERS if c not in COMMON)
    widths: dict[str, dict[str, int]] = {}
    for name in SOURCES:
        font = cut(name)
        font.save(FACES / f"{name}.ttf")
        units, metrics = font["head"].unitsPerEm, font["hmtx"]
        widths[name] = {
            chr(code): round(1000 * metrics[glyph][0] / units)
            for code, glyph in sorted(font.getBestCmap().items())
        }
        for part, characters in ((name, COMMON), (f"{name}-more", rest)):
            packed = cut(name, characters)
            packed.flavor = "woff2"
            packed.save(FACES / f"{part}.woff2")
    text = json.dumps(widths, ensure_ascii=True, sort_keys=True, separators=(",", ":"))
    (FACES / "widths.json").write_text(text + "\n", encoding="ascii")
    licences = [
        (files(package) / "files" / "LICENSE.txt").read_text(encoding="utf-8").strip()
        for package in ("font_source_sans_pro", "font_source_serif_pro")
    ]
    head = (
        "Fieldguide Sans and Fieldguide Serif are cut and renamed from the fonts whose\n"
        "licences follow.\n\n"
    )
    (FACES / "LICENSE.txt").write_text(head + "\n\n\n".join(licences) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
