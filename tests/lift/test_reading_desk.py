"""The reading desk in a real browser: mouse, touch and keyboard; and who may ask it."""

from __future__ import annotations

import json
import threading
from http.client import HTTPConnection
from urllib.parse import urlsplit

import pytest
from pictured import PicturedChart, careful_reading, picture_errors
from playwright.sync_api import expect

from explainer.lift.desk import sit_down
from explainer.lift.reading import CameFrom
from explainer.lift.written import ReportFile
from explainer.study.lifted import lifted_of

SOURCE = CameFrom(ReportFile("report.pdf", "a" * 64, 12), 8, "2026-01-31")


@pytest.fixture(scope="module")
def picture() -> PicturedChart:
    return PicturedChart("matplotlib", "errors", "clean")


@pytest.fixture
def desk(picture):
    """The address of a desk with that picture, and what it saved."""
    saved: dict[str, bytes] = {}
    stop, told, ready = threading.Event(), [], threading.Event()

    def keep(files) -> str:
        saved.update(files)
        return "figure-4-page-8.csv"

    def tell(line: str) -> None:
        told.append(line)
        ready.set()

    thread = threading.Thread(target=sit_down, args=(picture.png, SOURCE, keep, 0, tell, stop))
    thread.start()
    assert ready.wait(10)
    address = next(word for word in told[0].split() if word.startswith("http"))
    yield address, saved
    stop.set()
    thread.join(10)
    assert not thread.is_alive()


@pytest.fixture
def opened(browser, desk):
    """Opens the desk's page; anything it logs, or fetches from elsewhere, fails the test."""
    contexts, wrong = [], []

    def go(**settings):
        context = browser.new_context(viewport={"width": 1500, "height": 1000}, **settings)
        contexts.append(context)
        page = context.new_page()
        page.on("console", lambda said: wrong.append(said.text))
        page.on("pageerror", lambda error: wrong.append(str(error)))
        page.on("request", lambda r: r.url.startswith(desk[0]) or wrong.append(r.url))
        page.goto(desk[0])
        expect(page.locator("#series option")).to_have_count(1)
        return page

    yield go
    for context in contexts:
        context.close()
    assert wrong == []


def fill(page, reading: dict) -> None:
    for side in ("x", "y"):
        for key in ("low", "high"):
            page.fill(f"#{side}-{key}", str(reading[side][key]))
    page.fill("#x-title", "games")
    page.fill("#y-title", "hook (boards)")
    page.fill("#figure", "Figure 4")
    page.keyboard.press("Tab")


def choose(page, tool: str) -> None:
    page.check(f"input[name=tool][value={tool}]")


def counted(page, tool: str, count: int) -> None:
    expect(page.locator(f"[data-count={tool}]")).to_have_text(f"({count} set)")


def read_back(page, count: int) -> list[list[float]]:
    expect(page.locator("#values tr")).to_have_count(count)
    rows = page.locator("#values tr").all()
    return [[float(cell) for cell in row.locator("td").all_inner_texts()[1:]] for row in rows]


def save(page, saved: dict[str, bytes]) -> None:
    page.click("#save")
    expect(page.locator("#told")).to_contain_text("Saved in")
    assert set(saved) == {"figure-4-page-8.csv", "figure-4-page-8.lifted.yaml"}


def test_a_chart_is_read_with_a_mouse(opened, desk, picture) -> None:
    page, saved = opened(), desk[1]
    reading = careful_reading(picture, "clean", 3)
    fill(page, reading)
    scale = page.locator("#picture").bounding_box()["width"] / picture.image.width

    def click(at) -> None:
        page.evaluate("scrollTo(0, 0)")
        box = page.locator("#picture").bounding_box()
        page.mouse.click(box["x"] + at[0] * scale, box["y"] + at[1] * scale)

    for side in ("x", "y"):
        choose(page, side)
        for n, at in enumerate(reading[side]["places"], start=1):
            click(at)
            counted(page, side, n)
    choose(page, "marks")
    marks = [m["at"] for m in reading["series"][0]["marks"]]
    for n, at in enumerate(marks, start=1):
        click(at)
        counted(page, "marks", n)
    values = read_back(page, len(marks))
    import numpy as np

    errors = picture_errors(picture.chart, picture.truth(), [np.array(values)])
    assert sorted(errors)[len(errors) // 2] < 0.005
    click((5, 5))
    counted(page, "marks", len(marks) + 1)
    page.click("#undo")
    counted(page, "marks", len(marks))
    choose(page, "again")
    for n, at in enumerate(marks, start=1):
        click((at[0] + 1, at[1] - 1))
        counted(page, "again", n)
    expect(page.locator("#told")).to_contain_text("Two readings")
    save(page, saved)
    lifted = lifted_of("figure-4-page-8.csv", saved["figure-4-page-8.lifted.yaml"])
    assert lifted.method == "picture" and lifted.page == 8 and lifted.what == "Figure 4"
    assert 0 < lifted.axis_error["hook (boards)"] < lifted.reading_error["hook (boards)"] < 1
    assert set(lifted.repeated) == {"games", "hook (boards)"}
    rows = saved["figure-4-page-8.csv"].decode().splitlines()
    assert rows[0] == "games,hook (boards)" and len(rows) == len(marks) + 1


def test_a_chart_is_read_with_keys_alone(opened, desk, picture) -> None:
    page, saved = opened(), desk[1]
    reading = careful_reading(picture, "clean", 4)
    fill(page, reading)
    marks = [m["at"] for m in reading["series"][0]["marks"]][:2]
    cross = [picture.image.width / 2, picture.image.height / 2]

    def go(at) -> None:
        keys = (("ArrowLeft", "ArrowRight"), ("ArrowUp", "ArrowDown"))
        for axis, (less, more) in enumerate(keys):
            steps = round(at[axis] - cross[axis])
            key = more if steps > 0 else less
            for _ in range(abs(steps) // 10):
                page.keyboard.press(f"Shift+{key}")
            for _ in range(abs(steps) % 10):
                page.keyboard.press(key)
            cross[axis] += steps
        page.keyboard.press("Enter")

    for tool, places in (("x", reading["x"]["places"]), ("y", reading["y"]["places"]),
                         ("marks", marks)):  # fmt: skip
        page.focus(f"input[name=tool][value={tool}]")
        page.keyboard.press("Space")
        page.focus("#picture")
        for n, at in enumerate(places, start=1):
            go(at)
            counted(page, tool, n)
    page.keyboard.press("Backspace")
    counted(page, "marks", 1)
    (value,) = read_back(page, 1)
    truth = picture.truth()[""][0]
    assert abs(value[0] - truth[0]) < 0.6 and abs(value[1] - truth[1]) < 0.5
    page.focus("#save")
    page.keyboard.press("Enter")
    expect(page.locator("#told")).to_contain_text("Saved in")
    assert saved


def test_a_chart_is_read_with_a_finger(opened, desk, picture) -> None:
    """The finger pushes the cross, which stands apart from it; a button sets the place."""
    page, saved = opened(has_touch=True), desk[1]
    reading = careful_reading(picture, "clean", 5)
    fill(page, reading)
    picture_box = page.locator("#picture").bounding_box()
    scale = picture_box["width"] / picture.image.width
    session = page.context.new_cdp_session(page)

    def touch(kind: str, at=None) -> None:
        points = [{"x": at[0], "y": at[1]}] if at else []
        session.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})

    def tap(at) -> None:
        page.evaluate("scrollTo(0, 0)")
        box = page.locator("#picture").bounding_box()
        page.touchscreen.tap(box["x"] + at[0] * scale, box["y"] + at[1] * scale)

    def drag(by) -> None:
        page.evaluate("scrollTo(0, 0)")
        box = page.locator("#picture").bounding_box()
        start = (box["x"] + 300, box["y"] + 200)
        touch("touchStart", start)
        for n in range(1, 6):
            touch("touchMove", (start[0] + by[0] * n / 5, start[1] + by[1] * n / 5))
        touch("touchEnd")

    for tool in ("x", "y"):
        page.locator(f"input[name=tool][value={tool}]").tap()
        for n, at in enumerate(reading[tool]["places"], start=1):
            tap(at)
            page.locator("#set").tap()
            counted(page, tool, n)
    page.locator("input[name=tool][value=marks]").tap()
    mark = reading["series"][0]["marks"][0]["at"]
    tap((mark[0] - 40, mark[1] + 30))
    drag((40 * scale, -30 * scale))
    page.wait_for_timeout(400)  # else the browser takes both touches for one gesture
    page.locator("#set").tap()
    counted(page, "marks", 1)
    (value,) = read_back(page, 1)
    truth = picture.truth()[""][0]
    assert abs(value[0] - truth[0]) < 0.6 and abs(value[1] - truth[1]) < 0.5
    page.locator("#save").tap()
    expect(page.locator("#told")).to_contain_text("Saved in")
    assert saved


def test_the_desk_is_accessible(opened, picture) -> None:
    from axe_playwright_python.sync_playwright import Axe

    page = opened()
    found = Axe().run(page)
    assert [v["id"] for v in found.response["violations"]] == []


def ask(address: str, path: str, body: bytes = b"{}", method: str = "POST", **headers: str):
    where = urlsplit(address)
    connection = HTTPConnection(where.hostname, where.port, timeout=10)
    named = {name.replace("_", "-"): value for name, value in headers.items()}
    connection.request(method, path, body if method == "POST" else None, named)
    try:
        answer = connection.getresponse()
        return answer.status, answer.read()
    finally:
        connection.close()


def token_of(address: str) -> str:
    _, page = ask(address, "/", method="GET")
    return page.decode().split('data-token="')[1].split('"')[0]


def test_only_its_own_page_may_ask_and_only_this_computer(desk) -> None:
    address, saved = desk
    token = token_of(address)
    assert ask(address, "/", method="GET", Host="report.example")[0] == 403
    assert ask(address, "/save")[0] == 403
    assert ask(address, "/save", X_Desk_Token="guess")[0] == 403
    assert ask(address, "/save", X_Desk_Token=token, Origin="http://elsewhere.example")[0] == 403
    assert ask(address, "/save", X_Desk_Token=token, Host="elsewhere.example")[0] == 403
    assert ask(address, "/../etc/hosts", method="GET")[0] == 404
    assert saved == {}


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"series": []}, "no mark is set yet"),
        ({"x": {"places": [], "low": 0, "high": 1}}, "set two places on the x axis"),
        ({"x": {"places": [[0, 0], [9, 9]], "low": "", "high": 1}}, "found nothing"),
        ({"x": {"places": [[0, 0], [90, 9]], "low": 5, "high": 5}}, "both places on the x axis"),
        ({"x": {"places": [[0, 0], [90, 9]], "low": 0, "high": 5, "scale": "log"}}, "no zero"),
        ({"y": {"places": [[0, 0], [90, 9]], "low": 0, "high": 5},
          "x": {"places": [[0, 0], [90, 9]], "low": 0, "high": 5}}, "run the same way"),
        ({"corners": [[0, 0], [5, 5]]}, "2 corners are set"),
        ({"corners": [[0, 0], [90, 90], [90, 0], [0, 90]]}, "set them in turn"),
        ({"x": {"places": [["a", 0], [9, 9]], "low": 0, "high": 1}}, "expected a number"),
    ],
)  # fmt: skip
def test_what_is_missing_is_said(desk, picture, change, said) -> None:
    address, saved = desk
    given = careful_reading(picture, "clean", 1) | change
    status, body = ask(
        address, "/read", json.dumps(given).encode(), X_Desk_Token=token_of(address)
    )
    assert status == 200 and said in json.loads(body)["fault"]
    assert saved == {}


@pytest.mark.parametrize("body", [b"", b"[]", b"nonsense", b'{"x": ' + b"[" * 5000, b"\xff\xfe"])
def test_nonsense_is_answered_in_one_line(desk, body) -> None:
    address, _ = desk
    for path in ("/snap", "/read", "/save"):
        status, answer = ask(address, path, body, X_Desk_Token=token_of(address))
        assert status in (200, 422) and "\n" not in json.loads(answer)["fault"]
