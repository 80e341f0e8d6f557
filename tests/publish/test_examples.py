"""The example studies as they are published: whole, valid, and the same bytes every time."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from pathlib import Path

import lxml.html
import page as pdf_validation  # the distribution page-validation
import pypdfium2
import pytest

from explainer.publish.check import check_site
from explainer.publish.frontpage import OTHERS

ROOT = Path(__file__).resolve().parents[2]
STUDIES = sorted(p.parent.name for p in ROOT.glob("studies/*/study.yaml"))


@pytest.fixture(scope="module")
def site(examples) -> Path:
    return examples


@pytest.mark.slow
def test_every_example_is_there_and_listed(site):
    front = lxml.html.parse(str(site / "index.html"))
    listed = front.xpath("//ol[@class='studies']//h3/a/@href")
    assert sorted(listed) == [f"{study}/index.html" for study in STUDIES]
    check_site(site)


@pytest.mark.slow
@pytest.mark.parametrize("study", STUDIES)
def test_pages_and_results_agree(site, study):
    folder = site / study
    results = json.loads((folder / "results.json").read_text())
    tree = lxml.html.parse(str(folder / "index.html"))
    shown = {c.get("data-claim"): c.get("data-verdict") for c in tree.xpath("//*[@data-claim]")}
    assert shown == {c["id"]: c["verdict"] for c in results["claims"]}
    figures = tree.xpath("//figure/@id")
    assert sorted(figures) == sorted(f"fig-{f['id']}" for f in results["figures"])
    assert_questions_agree(tree, results["questions"])
    ids = tree.xpath("//@id")
    assert len(ids) == len(set(ids))
    assert not tree.xpath("//*[@style]")
    assert (folder / "index.html").stat().st_size < 400_000  # however many claims it has


@pytest.mark.slow
@pytest.mark.parametrize("study", STUDIES)
def test_a_page_is_set_with_care(site, study):
    """Apostrophes are typographic, and no reading is certain to meet a limit."""
    tree = lxml.html.parse(str(site / study / "index.html"))
    said = tree.xpath("//body//text()[not(ancestor::script or ancestor::code)]")
    straight = [t for t in said if re.search(r"[^\W\d_]'[^\W\d_]|s'\s", t)]
    assert straight == []
    chances = tree.xpath("//table[.//th[contains(., 'chance it conforms')]]//td[last()]/text()")
    assert not {"0%", "100%"} & {c.strip() for c in chances}
    assert study != "gauge-check" or len(chances) == 10



def assert_questions_agree(tree, questions: list[dict]) -> None:
    """The author's first and word for word; ours after, but for one the author asks already."""
    asks = [p.text_content().strip() for p in tree.xpath("//li[@data-question]/p[@class='ask']")]
    own = [q["ask"] for q in questions if q["why"] == "author"]
    alike = [q for q in questions if own and q["why"] == "beyond-data"]
    assert asks[: len(own)] == own
    assert len(asks) == len(set(asks))
    assert len(questions) - len(alike) <= len(asks) <= len(questions)


#: Files whose text is only names or numbers, each beside one that says it: a chapter list beside
#: the description it is pasted into, a CSV (where a line of prose would be no CSV) beside the
#: package that describes it, a still beside the page of stills.
SILENT = ("chapters", ".csv", ".png", ".woff2")
MADE_UP = re.compile(r"\bmade[- ]up\b|\"invented\": true", re.IGNORECASE)
CLAIMED_MADE_UP = re.compile(
    r"made-up data|data on this page are made up|\"invented\": true", re.IGNORECASE
)


def read_aloud(file: Path) -> str:
    """What a file says: the text of a PDF's pages, else what is written in it."""
    if file.suffix != ".pdf":
        return file.read_text("utf-8")
    with pypdfium2.PdfDocument(file) as pdf:
        return " ".join(p.get_textpage().get_text_range() for p in pdf)


@pytest.mark.slow
@pytest.mark.parametrize("study", STUDIES)
def test_made_up_data_says_so_on_everything_and_open_data_nowhere(site, study):
    saying = [
        f for f in sorted((site / study).rglob("*"))
        if f.is_file() and not any(mark in f.name for mark in SILENT)
    ]  # fmt: skip
    kinds = {f.suffix for f in saying}
    spoken = {".md", ".vtt", ".srt", ".otio", ".yaml", ".txt"}
    has_script = (site / study / "script" / "script.html").is_file()
    assert kinds == {".html", ".pdf", ".json"} | (spoken if has_script else set())
    told = {f.relative_to(site).as_posix(): read_aloud(f) for f in saying}
    if study == "ten-sleepers":
        assert [name for name, text in told.items() if CLAIMED_MADE_UP.search(text)] == []
    else:
        assert [name for name, text in told.items() if not MADE_UP.search(text)] == []
    described = json.loads((site / study / "data/datapackage.json").read_text("utf-8"))
    data = {f.name for f in (site / study / "data").glob("*.csv")}
    assert {resource["path"] for resource in described["resources"]} == data


@pytest.mark.slow
def test_pages_across_studies_say_it_too(site):
    """Every topic of the examples is of invented studies; the front page says it of each."""
    topics = sorted((site / "topic").glob("*/index.html"))
    assert len(topics) >= 3
    for page in topics:
        assert "All the data here are made up" in page.read_text("utf-8"), page.parent.name
    front = lxml.html.parse(str(site / "index.html"))
    listed = front.xpath("//ol[@class='studies']/li")
    silent = [
        li.xpath(".//h3/a/@href")[0] for li in listed if not MADE_UP.search(li.text_content())
    ]
    assert silent == ["ten-sleepers/index.html"]


@pytest.mark.slow
@pytest.mark.parametrize("study", STUDIES)
def test_the_pdf_is_valid_pdf_ua(site, study):
    report = pdf_validation.validate_pdf(
        str(site / study / "explainer.pdf"), profile=pdf_validation.ValidationProfile.PDF_UA_1
    )
    assert [f"{f.rule_id}: {f.message}" for f in report.failures] == []


@pytest.mark.seldom
def test_another_process_clock_and_hash_seed_give_the_same_bytes(site, tmp_path):
    again = tmp_path / "again"
    changes = {"PYTHONHASHSEED": "2", "TZ": "Pacific/Auckland", "LC_ALL": "C"}
    changes["EXPLAINER_CACHE"] = str(tmp_path / "nothing remembered")
    some = ("nine-samples", "league-season", "three-balls")
    subprocess.run(
        [sys.executable, "-m", "explainer", "publish", *some, "--into", str(again)],
        cwd=ROOT, check=True, capture_output=True, env={**os.environ, **changes},
    )  # fmt: skip

    def content(root: Path) -> dict[str, bytes]:
        """Every file; a page without its word about other studies, some of which are not here."""
        files = [p for name in (*some, "glossary", "how") for p in (root / name).rglob("*.*")]
        return {str(p.relative_to(root)): OTHERS.sub(b"", p.read_bytes()) for p in files}

    first, second = content(site), content(again)
    assert first.keys() == second.keys() and len(first) > 60
    assert [name for name in first if first[name] != second[name]] == []
