"""Tables too long for their page, as HTML to be set by WeasyPrint, with the rows to be read."""

from __future__ import annotations

HEAD = ["Ball", "Games", "Texture", "Hook"]
BODY = [
    [f"{'AB'[n % 2]}{n // 2 + 1}", str(games), f"{72.5 - 0.2 * games - 0.3 * n:.1f}",
     f"{12 + 0.05 * n - games / 60:.2f}"]
    for n in range(12) for games in (0, 20, 40, 60)
]  # fmt: skip
ROWS = [HEAD, *BODY]
GRID = "td,th{border:.6pt solid #000}"
LINES = "table{border-top:1pt solid;border-bottom:1pt solid}"
TEXT = "<p>The balls were rolled on one lane by one machine and read with one gauge each time.</p>"


def table(rows: list[list[str]], head: bool = True, caption: str = "") -> str:
    first = rows[:1] if head else []
    made = "".join("<tr>" + "".join(f"<th>{c}</th>" for c in row) + "</tr>" for row in first)
    body = "".join("<tr>" + "".join(f"<td>{c}</td>" for c in row) + "</tr>"
                   for row in rows[len(first):])  # fmt: skip
    named = f"<caption>{caption}</caption>" if caption else ""
    return f"<table>{named}<thead>{made}</thead><tbody>{body}</tbody></table>"


def sheets(*parts: str, css: str = "") -> str:
    """Each part on a page of its own, or over several."""
    look = (
        "@page{size:letter;margin:1in;@bottom-center{content:counter(page)}"
        "@top-left{content:'Covers over sixty games of play, a made-up report'}}"
        "body{font:10pt 'DejaVu Sans'}table{border-collapse:collapse}caption{text-align:left}"
        "td,th{padding:2pt 9pt;text-align:left;width:4em}.next{break-before:page}"
        ".end{position:absolute;bottom:0}.small{font-size:7pt}"
    )
    pages = "".join(f"<section class='{'next' if n else ''}'>{p}</section>"
                    for n, p in enumerate(parts))  # fmt: skip
    return f"<style>{look}{css}</style>{pages}"


def _cut(at: int, first: str, then: str, head: bool, css: str = LINES, note: str = "",
         before: str = "") -> str:  # fmt: skip
    rest = [HEAD, *BODY[at:]] if head else BODY[at:]
    one = TEXT * 4 + table(ROWS[: at + 1], caption=first) + note
    return sheets(one, before + table(rest, head, then) + TEXT, css=css)


NAME = "Table 3. Every reading"
NOTE = "<p class='small'><sup>a</sup> Read twice, and the mean of both readings printed here.</p>"
LONG: dict[str, str] = {
    "broken by the page, head repeated": sheets(TEXT * 4 + table(ROWS, caption=NAME) + TEXT,
                                                css=LINES),
    "broken by the page, ruled": sheets(TEXT * 4 + table(ROWS, caption=NAME) + TEXT, css=GRID),
    "head once": sheets(TEXT * 4 + table(ROWS, caption=NAME) + TEXT,
                        css=LINES + "thead{display:table-row-group}"),
    "head once, ruled": sheets(TEXT * 4 + table(ROWS, caption=NAME) + TEXT,
                               css=GRID + "thead{display:table-row-group}"),
    "continued, with its name": _cut(30, NAME, "Table 3 (continued)", True),
    "continued, with a comma": _cut(30, NAME, "Table 3, continued", False),
    "continued, half way down": _cut(16, NAME, "Table 3 continued", True, GRID),
    "continued, without a name": _cut(30, NAME, "", True, before="<p>(continued)</p>"),
    "a line that says so at the end": _cut(30, NAME, "", True,
                                           note="<p>Continued on the next page</p>"),
    "a note between": _cut(28, NAME, "", False, note=NOTE),
    "a row alone": _cut(47, NAME, "", False, LINES + "td,th{font-size:7pt;padding:0 9pt}"),
}  # fmt: skip
