"""The workroom in a real browser: from three sheets to a published page, without a terminal."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import expect

SHEETS = sorted((Path(__file__).parents[2] / "studies/cover-texture/originals").glob("*.csv"))
PATIENCE = 60_000
expect.set_options(timeout=PATIENCE)
#: Drops a file on the page as a hand would: the browser's own objects, one event.
DROP = """([name, text]) => {
  const all = new DataTransfer();
  all.items.add(new File([text], name, {type: "text/csv"}));
  for (const kind of ["dragenter", "dragover", "drop"])
    document.getElementById("drop").dispatchEvent(
      new DragEvent(kind, {dataTransfer: all, bubbles: true, cancelable: true}));
}"""


@pytest.fixture
def page(browser, room):
    """A page of the room; whatever it logs, or asks of anybody else, fails the test."""
    context = browser.new_context(viewport={"width": 1400, "height": 1000})
    context.set_default_timeout(PATIENCE)
    made, wrong = context.new_page(), []
    here = room.address.rsplit("/", 2)[0]
    made.on("pageerror", lambda error: wrong.append(str(error)))
    made.on("request", lambda r: r.url.startswith((here, "data:")) or wrong.append(r.url))
    made.goto(room.address)
    yield made
    context.close()
    assert wrong == []


def test_from_three_sheets_to_a_published_page(page, room):
    assert len(SHEETS) == 3
    page.set_input_files("#files", [str(p) for p in SHEETS[:2]])
    page.evaluate(DROP, [SHEETS[2].name, SHEETS[2].read_bytes().decode("latin-1")])
    expect(page.locator("#chosen li")).to_have_count(3)
    assert faults(page) == []
    page.fill("#name", "Worn covers")
    page.click("button.main")
    expect(page).to_have_url(re.compile(r"/study/worn-covers/$"))
    expect(page.locator("#told")).to_be_focused()
    folder = room.root / "studies" / "worn-covers"
    drafted = (folder / "study.yaml").read_text("utf-8")
    assert len(list((folder / "originals").iterdir())) == 3

    # What the sheets don't say: one answer typed, the others right as they stand.
    marks = drafted.count("CONFIRM:")
    assert 0 < page.locator("fieldset.asked").count() < marks
    answer_all(page)
    answered = (folder / "study.yaml").read_text("utf-8")
    assert 'question: "Does a sanded ball go smooth?"' in answered
    assert "matters_from: 1\n" in answered
    # The comments that teach the file are still there.
    kept = [line for line in drafted.splitlines() if line.lstrip().startswith("#")]
    assert kept and all(line in answered for line in kept)

    # A claim: the report's sentence, and which way it says.
    page.locator("#claims details.group summary").first.click()
    claim = page.locator("#claims details.group").first
    claim.get_by_label("report says").fill("Roughness fell over sixty games: a lot.")
    claim.get_by_label("direction").select_option("down")
    claim.get_by_role("button", name="Save").click()
    expect(page.locator("#told")).to_have_text("Saved.")
    saved = (folder / "study.yaml").read_text("utf-8")
    assert 'report_says: "Roughness fell over sixty games: a lot."' in saved
    assert "direction: down" in saved
    assert [x for x in answered.splitlines() if x not in saved.splitlines()] != []
    assert len(saved.splitlines()) == len(answered.splitlines())

    # The preview follows, and so does the list of what there is to mend.
    shown = page.frame_locator("#preview")
    expect(shown.locator("body")).to_contain_text("Worn covers")
    expect(shown.locator("text=a lot.").first).to_be_attached()
    expect(page.locator("#mended")).to_contain_text("Sound")
    assert faults(page) == []

    page.fill("#into", "out")
    page.click("text=Publish into the folder")
    expect(page.locator("h1")).to_have_text("Published")
    site = room.root / "out"
    assert (site / "worn-covers" / "index.html").is_file()
    assert (site / "worn-covers" / "handout.pdf").read_bytes().startswith(b"%PDF")
    results = json.loads((site / "worn-covers" / "results.json").read_text("utf-8"))
    assert results["claims"][0]["verdict"] == "backed"
    assert faults(page) == []


def answer_all(page) -> None:
    """Two answers typed, the others right as they stand; one claim quoted, the others taken out."""
    asked = page.locator("fieldset.asked")
    page.get_by_label("as a bowler would ask it").fill("Does a sanded ball go smooth?")
    page.get_by_label("smallest change a bowler would notice, in boards").fill("1")
    expect(page.locator("#questions .help").first).to_contain_text("The page answers it with")
    page.check("input[name=rest]")
    page.click("text=Save the answers")
    expect(page.locator("#told")).to_contain_text("Saved. ")
    # A sentence that is missing is nobody's, whatever else is right as it stands.
    for claim in range(asked.count() - 1):
        asked.nth(claim + 1).get_by_text("take this claim out").click()
    asked.first.locator("input, textarea").first.fill("Roughness changed.")
    page.click("text=Save the answers")
    expect(page.locator("#told")).to_have_text("Saved. All is answered.")


def test_the_keyboard_alone_gets_there_and_a_slip_is_told_where_it_is(page, room):
    page.focus("#files")
    page.set_input_files("#files", [{"name": "hook.csv", "mimeType": "text/csv", "buffer":
        b"ball,games,hook\n" + b"".join(b"P%d,0,%d\nP%d,60,%d\n" % (i, 12 + i % 3, i, 9 + i % 2)
                                        for i in range(1, 7))}])  # fmt: skip
    page.keyboard.press("Tab")
    page.keyboard.type("first try")
    page.keyboard.press("Enter")
    expect(page).to_have_url(re.compile(r"/study/first-try/$"))
    file = room.root / "studies" / "first-try" / "study.yaml"
    broken = re.sub(r"    unit: \w+", "    unit: boord", file.read_text("utf-8"))
    file.write_text(broken, "utf-8")
    expect(page.locator("#mended li.error")).to_contain_text("study.yaml")
    expect(page.locator("#state")).to_contain_text("this is the last good page")
    link = page.locator("#mended li.error a").first
    link.focus()
    page.keyboard.press("Enter")
    assert page.evaluate("document.activeElement.matches('input, textarea, select, summary')")
    # The file was changed by another hand meanwhile: the form is not saved over it.
    page.evaluate("document.querySelector('#questions button.main').click()")
    expect(page.locator("#told")).to_contain_text("changed elsewhere")
    assert "boord" in file.read_text("utf-8")


def faults(page) -> list[str]:
    """What axe finds, the preview's own page left to its own tests."""
    found = Axe().run(page, context={"exclude": [["#preview"]]}).response["violations"]
    return [f"{v['id']}: {v['nodes'][0]['html'][:120]}" for v in found]
