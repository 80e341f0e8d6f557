"""What the examples publish beside their pages, read back by readers that did not write it."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pikepdf
import pypdfium2
import pytest
import webvtt
from ruamel.yaml import YAML

FILES = sorted(Path(__file__).parents[2].glob("studies/*/study.yaml"))
STUDIES = [file.parent.name for file in FILES]
EACH = pytest.mark.parametrize("study", STUDIES)
#: Those whose own choice of editions does not leave the script out.
SPOKEN = [
    file.parent.name for file in FILES
    if "script" in YAML(typ="safe").load(file).get("editions", ["script"])
]  # fmt: skip

pytestmark = pytest.mark.slow


def pdfs(folder: Path) -> list[Path]:
    found = sorted(folder.glob("*.pdf"))
    assert {"explainer.pdf", "handout.pdf"} <= {p.name for p in found}
    return found


@EACH
def test_sheets_have_one_or_two_sides_and_nothing_blank(examples, study):
    for file in pdfs(examples / study):
        with pypdfium2.PdfDocument(file) as document:
            if file.name != "explainer.pdf":
                assert len(document) <= 2
            for number, page in enumerate(document, 1):
                words = len(page.get_textpage().get_text_range().split())
                assert words > 30, f"{file.name}, page {number}"
                dark = (page.render(scale=1, grayscale=True).to_numpy() < 160).mean()
                # Dense text inks 8% of a sheet; one black chart would ink a third.
                assert 0.001 < dark < 0.15, f"{file.name}, page {number}: {dark:.0%} dark"


@EACH
def test_every_font_is_embedded(examples, study):
    for file in pdfs(examples / study):
        with pikepdf.open(file) as document:
            parts = [o for o in document.objects if isinstance(o, pikepdf.Dictionary)]
            fonts = [o for o in parts if o.get("/Type") == "/Font"]
            assert fonts
            for font in fonts:
                if "/DescendantFonts" not in font:
                    descriptor = font.FontDescriptor
                    assert {"/FontFile", "/FontFile2", "/FontFile3"} & set(descriptor.keys())


@EACH
def test_a_rule_has_a_card_and_nothing_else_has(examples, study):
    results = json.loads((examples / study / "results.json").read_text())
    assert (examples / study / "rule-card.pdf").exists() == (results["chain"] is not None)


def at(stamp) -> float:
    """Seconds of a time in captions."""
    return stamp.hours * 3600 + stamp.minutes * 60 + stamp.seconds + stamp.milliseconds / 1000


@pytest.mark.parametrize("study", SPOKEN)
def test_captions_are_read_and_can_be_read_in_time(examples, study):
    """42 characters a line and 20 a second: common practice (value from memory)."""
    files = sorted((examples / study / "script").glob("*.vtt"))
    assert files
    for file in files:
        before = 0.0
        for caption in webvtt.read(str(file)):
            rows = caption.raw_text.split("\n")
            assert len(rows) <= 2 and max(map(len, rows)) <= 42
            begins, ends = at(caption.start_time), at(caption.end_time)
            assert len(" ".join(rows)) <= 20 * (ends - begins) + 0.05
            assert before <= begins < ends
            before = ends


def test_most_examples_have_a_script():
    assert len(SPOKEN) >= 8 and {"cover-texture", "sixty-shots", "strikes-and-oil"} < set(SPOKEN)


@pytest.mark.parametrize("study", SPOKEN)
def test_the_script_is_read_aloud_in_the_time_it_states(examples, study):
    """The words of script.md, numbers written out, at the rate it names: within a tenth."""
    text = (examples / study / "script" / "script.md").read_text(encoding="utf-8")
    rate = int(re.search(r"Timings are for (\d+) words a minute", text)[1])
    text = text.partition("## What goes first")[0]
    cuts = re.split(r"^## (.+): (\d+):(\d\d)$", text, flags=re.MULTILINE)[1:]
    assert cuts
    for name, minutes, seconds, body in zip(*(cuts[i::4] for i in range(4)), strict=True):
        spoken = [
            row for row in body.splitlines()
            if not re.match(r"#|\*\*\d+:\d\d\*\*|\*\[|Chapters|- ", row)
        ]  # fmt: skip
        words = sum(len(re.findall(r"[^\W\d_]+(?:[’'][^\W\d_]+)?", row)) for row in spoken)
        pauses = sum(map(int, re.findall(r"about (\d+) seconds", body)))
        stated = int(minutes) * 60 + int(seconds)
        assert words * 60 / rate + pauses == pytest.approx(stated, rel=0.1), name
