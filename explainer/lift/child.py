"""The process that opens a report: its ``main``, with a request on its input.

It may use a gigabyte, write no file and start nothing; its parent gives it ten seconds a page.
It answers in lines of JSON and nothing else: what comes from a stranger's file is only ever data.
"""

from __future__ import annotations

import io
import json
import sys
from collections.abc import Callable, Iterator
from dataclasses import asdict
from functools import partial
from pathlib import Path
from typing import Any

from explainer.confined import Limits, confine

MEMORY = 1_000_000_000
#: Pages of a report: a file of a few hundred bytes can say that it has any number of them.
MOST_PAGES = 3_000
#: Pages that a quick look finds nothing on are not looked at closely.
_LINES, _NUMBERS = 4, 8


def say(record: dict[str, Any]) -> None:
    sys.stdout.write(json.dumps(record, ensure_ascii=True, allow_nan=False, default=str) + "\n")
    sys.stdout.flush()


def main() -> None:
    """Reads the request, then the pages asked for, one line of answer each."""
    request = json.loads(sys.stdin.readline())
    import pypdfium2 as pdfium

    data = Path(request["path"]).read_bytes()
    confine(Limits(MEMORY, written=0, files=64))
    if request["do"] == "picture":
        from explainer.lift.pages import picture_of

        say(picture_of(data, request))
        return
    try:
        document = pdfium.PdfDocument(data)
        pages = len(document)
    except pdfium.PdfiumError as fault:
        say({"fault": _refused(str(fault))})
        return
    except MemoryError:
        say({"fault": "it needs more than a gigabyte of memory"})
        return
    if pages > MOST_PAGES:
        say({"fault": f"it says that it has {pages:,} pages, expected {MOST_PAGES:,} at most; "
                      "save those you need as a PDF of their own"})  # fmt: skip
        return
    say({"pages": pages})
    wanted = [n for n in (request["pages"] or range(1, pages + 1)) if n <= pages]
    for number in wanted:
        if number < request["first"]:
            continue
        say({"begins": number})
        say(_page(document, data, number, request))


def _refused(fault: str) -> str:
    if "password" in fault.casefold() or "security" in fault.casefold():
        return "it is encrypted and asks for a password; save an open copy of it first"
    return "it is broken or no PDF; open it in a reader and print it to a new PDF"


def _page(document: Any, data: bytes, number: int, request: dict[str, Any]) -> dict[str, Any]:
    """Everything on one page, or why it could not be read."""
    import pypdfium2 as pdfium

    from explainer.lift.pages import TooMuchDrawn, stood_up

    record: dict[str, Any] = {
        "page": number, "tables": [], "charts": [], "sentences": [], "faults": [],
    }  # fmt: skip
    try:
        page = document[number - 1]
        text = page.get_textpage().get_text_range() if page.get_textpage().count_chars() else ""
        record["sentences"] = _sentences(text, number)
        record["text"] = len(text.strip())
        if request["do"] == "all" and _worth(page, text, request):
            turned = stood_up(page)
            plumbed = partial(_plumbed, document if turned else data, number)
            _look(record, page, plumbed, number, request["at"])
        page.close()
    except TooMuchDrawn:
        record["faults"].append(
            "too much is drawn on it to tell marks apart; read its charts with --picture"
        )
    except MemoryError:
        record["faults"].append("it needs more than a gigabyte; read its charts with --picture")
    except (pdfium.PdfiumError, ValueError, RecursionError) as fault:
        record["faults"].append(
            f"it cannot be read ({type(fault).__name__}); open the report in a reader and print it "
            "to a new PDF, or read the page with --picture"
        )
    return record


def _worth(page: Any, text: str, request: dict[str, Any]) -> bool:
    """Whether a table or chart may stand on the page; of few pages, each is looked at."""
    if request["pages"] or request["few"]:
        return True
    drawn = page.get_objects(max_depth=2)
    numbers = sum(word[:1].isdigit() for word in text.split())
    return sum(1 for _ in zip(range(_LINES), drawn, strict=False)) >= _LINES and (
        numbers >= _NUMBERS
    )  # fmt: skip


def _look(
    record: dict[str, Any], page: Any, plumbed: Callable[[], Any], number: int, at: list[float]
) -> None:
    from explainer.lift.captions import captions, prose_beside, text_lines
    from explainer.lift.charts import read_charts
    from explainer.lift.pages import page_drawing
    from explainer.lift.shapes import around
    from explainer.lift.tables import loose_rows, printed_tables

    drawing = page_drawing(page, number)
    charts, refused = read_charts(drawing, at)
    record["charts"] = [asdict(c) for c in charts]
    whole = [
        around([c.area, *(a.labels for a in (c.x, c.y) if a is not None)]) for c in charts
    ] + [box for box, _ in refused]  # fmt: skip
    known = captions(text_lines(list(drawing.words)))
    tables = printed_tables(drawing, whole, known, plumbed)
    record["height"] = drawing.height
    record["tables"] = [
        {**asdict(t), "prose": prose_beside(drawing, t.box, known)} for t in tables
    ]
    heads = [" ".join(filter(None, t.cells[0])) for t in tables]
    record["sentences"] = [
        s for s in record["sentences"] if not any(head in s["text"] for head in heads)
    ]
    record["loose"] = loose_rows(drawing, whole, tables)
    record["faults"] += [why for _, why in refused]
    if not drawing.words and drawing.pictures:
        record["faults"].append(
            "it is a scan without text; read its charts with --picture, or run text recognition"
        )


def _plumbed(source: Any, number: int) -> Any:
    """The page for the library that finds ruled tables: of the file's bytes, or of the document
    with its page turned."""
    import pdfplumber

    data = source
    if not isinstance(source, bytes):
        out = io.BytesIO()
        source.save(out)
        data = out.getvalue()
    return pdfplumber.open(io.BytesIO(data), pages=[number]).pages[0]


def _sentences(text: str, page: int) -> list[dict[str, Any]]:
    from explainer.lift.sentences import claim_like

    return [asdict(s) for s in _few(claim_like(text, page))]


def _few(found: Iterator[Any]) -> Iterator[Any]:
    for _, one in zip(range(200), found, strict=False):
        yield one


if __name__ == "__main__":
    main()
