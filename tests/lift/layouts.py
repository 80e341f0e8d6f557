"""Tables in two dozen layouts, as HTML to be set by WeasyPrint, with their cells as printed.

``LAYOUTS`` maps a name to (HTML, the rows a person would copy).  A head that spans columns stands
in its first; what is filled down is empty below; a footnote mark is raised.
"""

from __future__ import annotations

HEAD = ["Ball", "Games", "Texture", "Hook"]
BODY = [
    ["A1", "0", "71.4", "12.3"], ["A1", "30", "60.2", "11.0"], ["A2", "0", "70.1", "12.9"],
    ["A2", "30", "58.8", "10.75"], ["B1", "0", "73.0", "13.1"],
]  # fmt: skip
PROSE = (
    "<p>The balls were rolled on one lane by one machine and read with one gauge at every "
    "checkpoint; nothing else was changed between the readings, and the room was kept at one "
    "temperature.</p>"
)
GRID = "td,th{border:.6pt solid #000}"
BOOK = (
    "table{border-top:1pt solid;border-bottom:1pt solid}"
    "tr:nth-child(1) th{border-bottom:.6pt solid}"
)
RULES = "tr{border-bottom:.4pt solid}"
SMALL = "sup{font-size:6pt}"


def page(rows: list, head: int = 1, css: str = "", after: str = "") -> str:
    """A page of prose with one table; a cell may be (text, its attributes), None is covered."""
    made = "<table><caption>Table 2. Readings of every ball</caption>"
    for i, row in enumerate(rows):
        tag = "th" if i < head else "td"
        cells = [c if isinstance(c, tuple) else (c, "") for c in row if c is not None]
        made += "<tr>" + "".join(f"<{tag} {more}>{text}</{tag}>" for text, more in cells) + "</tr>"
    return (
        "<style>@page{size:letter;margin:1in}body{font:10pt 'DejaVu Sans'}"
        "table{border-collapse:collapse;margin:1em 0}caption{text-align:left}"
        f"td,th{{padding:2pt 7pt;text-align:left}}{css}</style>{PROSE}{made}</table>{after}{PROSE}"
    )


ROWS = [HEAD, *BODY]
TWO = [
    ["Ball", ("At the start", "colspan=2"), ("After 30 games", "colspan=2")],
    ["", "Texture", "Hook", "Texture", "Hook"], ["A1", "71.4", "12.3", "60.2", "11.0"],
    ["A2", "70.1", "12.9", "58.8", "10.7"], ["B1", "73.0", "13.1", "61.1", "11.9"],
]  # fmt: skip
TWO_READ = [["Ball", "At the start", "", "After 30 games", ""], *TWO[1:]]
THREE = [
    ["", ("Texture", "colspan=3"), ("Hook", "colspan=3")],
    ["Ball", "1 game", "40 games", "160 games", "1 game", "40 games", "160 games"],
    ["A1", "71.4", "60.2", "55.0", "12.3", "11.0", "10.4"],
    ["A2", "70.1", "58.8", "54.1", "12.9", "10.7", "10.9"],
    ["B1", "73.0", "61.1", "57.7", "13.1", "11.9", "10.2"],
]  # fmt: skip
THREE_READ = [["", "Texture", "", "", "Hook", "", ""], *THREE[1:]]
UNLIKE = [
    ["", ("Surface", "colspan=3"), "", ("Lane", "colspan=2")],
    ["Ball", "New", "Worn", "Sanded", "Weight", "Hook", "Angle"],
    ["A1", "71.4", "60.2", "65.0", "15", "11.0", "4.4"],
    ["A2", "70.1", "58.8", "64.1", "14", "10.7", "4.9"],
    ["B1", "73.0", "61.1", "67.7", "15", "11.9", "4.2"],
]  # fmt: skip
UNLIKE_READ = [["", "Surface", "", "", "", "Lane", ""], *UNLIKE[1:]]
MIDDLE = (
    "td,th{text-align:right;width:4.4em;white-space:nowrap;font-size:8pt}"
    "th[colspan]{text-align:center;"
)
DOWN = [HEAD, BODY[0], ["", *BODY[1][1:]], BODY[2], ["", *BODY[3][1:]]]
DOWN_SPANNED = [
    HEAD, [("A1", "rowspan=2"), *BODY[0][1:]], [None, *BODY[1][1:]],
    [("A2", "rowspan=2"), *BODY[2][1:]], [None, *BODY[3][1:]],
]  # fmt: skip
NOTED = [
    HEAD, ["A1", "0", "71.4<sup>a</sup>", "12.3"], ["A1", "30", "60.2", "−1.0"],
    ["A2", "0", "70.1", "12.9<sup>b</sup>"], ["A2", "30", "58.8*", "−0.75†"],
]  # fmt: skip
NOTED_READ = [
    HEAD, ["A1", "0", "71.4ᵃ", "12.3"], ["A1", "30", "60.2", "−1.0"],
    ["A2", "0", "70.1", "12.9ᵇ"], ["A2", "30", "58.8*", "−0.75†"],
]  # fmt: skip
COMMAS = [
    ["Ball", "Roughness (µm)", "Hook"], ["A1", "1,81", "12,3"], ["A2", "1,78", "12,90"],
    ["B1", "1.234,5", "−0,4"],
]  # fmt: skip
GAPS = [
    HEAD, ["A1", "0", "71.4", "12.3"], ["A1", "30", "–", "11.0"], ["A2", "0", "70.1", ""],
    ["A2", "30", "58.8", "n/a"],
]  # fmt: skip
UNITS = [
    ["Ball", "Texture", "Hook"], ["", "(microinch)", "(boards)"], ["A1", "71.4", "12.3"],
    ["A2", "70.1", "12.9"], ["B1", "73.0", "13.1"],
]  # fmt: skip
BROKEN = [
    ["Ball", "What was done to it", "Texture"],
    ["A1", "Sanded by hand, washed,<br>left to dry for a day", "71.4"],
    ["A2", "As it came", "70.1"], ["B1", "Sanded by machine", "73.0"],
]  # fmt: skip
BROKEN_READ = [[cell.replace("<br>", " ") for cell in row] for row in BROKEN]
BROAD = [["Ball", *(f"G{i * 10}" for i in range(9))]] + [
    [f"B{j}", *(f"{70 - j - i * 1.5:.1f}" for i in range(9))] for j in range(6)
]
SHOTS = [
    ["Bowler", "Shots", "Strikes"], ["P", "1,204", "611"], ["Q", "980", "402"],
    ["R", "2,310", "1,095"],
]  # fmt: skip
GROUPED = [
    HEAD, ["Model A", "", "", ""], ["A1", "0", "71.4", "12.3"], ["A2", "0", "70.1", "12.9"],
    ["Model B", "", "", ""], ["B1", "0", "73.0", "13.1"], ["B2", "0", "72.2", "13.4"],
]  # fmt: skip
MORE = "<p>" + "Some more words that fill the page and go on for quite a while here. " * 14 + "</p>"
LAYOUTS: dict[str, tuple[str, list[list[str]]]] = {
    "ruled": (page(ROWS, css=GRID), ROWS),
    "three lines": (page(ROWS, css=BOOK), ROWS),
    "no lines": (page(ROWS), ROWS),
    "shaded rows": (page(ROWS, css="tr:nth-child(even){background:#eee}"), ROWS),
    "to the right": (page(ROWS, css=BOOK + "td+td,th+th{text-align:right}"), ROWS),
    "centred": (page(ROWS, css="td,th{text-align:center}"), ROWS),
    "a line below each row": (page(ROWS, css=RULES), ROWS),
    "two heads": (page(TWO, 2, BOOK), TWO_READ),
    "two heads, ruled": (page(TWO, 2, GRID), TWO_READ),
    "heads over three": (
        page(THREE, 2, BOOK + MIDDLE + "}"), THREE_READ,
    ),
    "heads over three and two, each with its line": (
        page(UNLIKE, 2, MIDDLE + "border-bottom:.4pt solid}"), UNLIKE_READ,
    ),
    "filled down": (page(DOWN, css=BOOK), DOWN),
    "filled down, ruled": (page(DOWN_SPANNED, css=GRID), DOWN),
    "footnotes": (
        page(NOTED, css=BOOK + SMALL, after="<p><sup>a</sup> Read twice.</p>"), NOTED_READ,
    ),
    "footnotes, ruled": (page(NOTED, css=GRID + SMALL), NOTED_READ),
    "decimal commas": (page(COMMAS, css=BOOK), COMMAS),
    "gaps": (page(GAPS), GAPS),
    "a row of units": (page(UNITS, 2, BOOK), UNITS),
    "broken cells, ruled": (page(BROKEN, css=GRID), BROKEN_READ),
    "broken cells, level lines": (page(BROKEN, css=RULES), BROKEN_READ),
    "ten columns": (page(BROAD, css="td,th{padding:1pt 4pt;font-size:8pt}"), BROAD),
    "on its side": (page(ROWS, css=BOOK).replace("size:letter", "size:11in 8.5in"), ROWS),
    "two columns of text": (
        page(ROWS, css=BOOK + "body{columns:2;font-size:8pt}", after=MORE), ROWS,
    ),
    "beside text": (page(ROWS, css=GRID + "table{float:right}"), ROWS),
    "thousands": (page(SHOTS, css=BOOK), SHOTS),
    "groups": (page(GROUPED, css=BOOK), GROUPED),
}  # fmt: skip
