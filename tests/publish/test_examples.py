"""The example studies as they are published: whole, valid, and the same bytes every time."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import lxml.html
import page as pdf_validation  # the distribution page-validation
import pytest

from explainer.publish.check import check_site

ROOT = Path(__file__).resolve().parents[2]
STUDIES = sorted(p.parent.name for p in ROOT.glob("studies/*/study.yaml"))


@pytest.fixture(scope="module")
def site(examples) -> Path:
    return examples


@pytest.mark.slow
def test_every_example_is_there_and_listed(site):
    front = lxml.html.parse(str(site / "index.html"))
    listed = front.xpath("//ol[@class='studies']//h2/a/@href")
    assert listed == [f"{study}/index.html" for study in STUDIES]
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
    assert figures == [f"fig-{f['id']}" for f in results["figures"]]
    assert_questions_agree(tree, results["questions"])
    ids = tree.xpath("//@id")
    assert len(ids) == len(set(ids))
    assert not tree.xpath("//*[@style]")
    assert (folder / "index.html").stat().st_size < 400_000


def assert_questions_agree(tree, questions: list[dict]) -> None:
    """The author's first and word for word; ours after, but for one the author asks already."""
    asks = [p.text_content().strip() for p in tree.xpath("//li[@data-question]/p[@class='ask']")]
    own = [q["ask"] for q in questions if q["why"] == "author"]
    alike = [q for q in questions if own and q["why"] == "beyond-data"]
    assert asks[: len(own)] == own
    assert len(asks) == len(set(asks))
    assert len(questions) - len(alike) <= len(asks) <= len(questions)


@pytest.mark.slow
@pytest.mark.parametrize("study", STUDIES)
def test_the_pdf_is_valid_pdf_ua(site, study):
    report = pdf_validation.validate_pdf(
        str(site / study / "explainer.pdf"), profile=pdf_validation.ValidationProfile.PDF_UA_1
    )
    assert [f"{f.rule_id}: {f.message}" for f in report.failures] == []


@pytest.mark.slow
def test_another_process_clock_and_hash_seed_give_the_same_bytes(site, tmp_path):
    again = tmp_path / "again"
    changes = {"PYTHONHASHSEED": "2", "TZ": "Pacific/Auckland", "LC_ALL": "C"}
    changes["EXPLAINER_CACHE"] = str(tmp_path / "nothing remembered")
    subprocess.run(
        [sys.executable, "-m", "explainer", "publish", "--into", str(again)],
        cwd=ROOT, check=True, capture_output=True, env={**os.environ, **changes},
    )  # fmt: skip

    def content(root: Path) -> dict[str, bytes]:
        return {str(p.relative_to(root)): p.read_bytes() for p in root.rglob("*") if p.is_file()}

    first, second = content(site), content(again)
    assert first.keys() == second.keys()
    assert [name for name in first if first[name] != second[name]] == []
