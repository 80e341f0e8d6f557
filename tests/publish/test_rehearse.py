"""Rehearsing: pages follow edits, the last good page stays, and nothing is left behind."""

from __future__ import annotations

import html
import os
import re
import signal
import socket
import subprocess
import sys
import threading
import time
import urllib.error
import urllib.request
from pathlib import Path

import pytest

from explainer.errors import Problem, StudyError, UsageError
from explainer.publish.manifest import Built, Listing
from explainer.publish.preview_server import dressed
from explainer.publish.rehearse import rehearse

PAGE = (
    '<!doctype html><html lang=en><head><meta http-equiv="Content-Security-Policy" '
    "content=\"default-src 'none'; style-src 'sha256-a'; script-src 'sha256-b'\">"
    "<title>t</title></head><body><h1>{text}</h1><a href='../index.html'>all</a></body></html>"
)


def quickly(folder: Path, workspace) -> Built:
    """A page that says what stands in the description, which may ``break``."""
    text = (folder / "study.yaml").read_text()
    if "break" in text:
        raise StudyError(Problem("study.yaml", 1, 3, found="`<break>`", happens="not used"))
    return Built(
        Listing(folder.name, text, "Does it?", "It does."),
        {"index.html": PAGE.format(text=text).encode()},
    )


class Rehearsal:
    """A rehearsal in a thread."""

    def __init__(self, root: Path) -> None:
        self.said: list[str] = []
        self.stop = threading.Event()
        self.thread = threading.Thread(
            target=rehearse, args=(root, 0, self.said.append, quickly, self.stop)
        )
        self.thread.start()
        until(lambda: any("built in" in line for line in self.said))
        self.address = self.said[0].split()[1]
        time.sleep(0.3)  # until the files are watched

    def get(self, path: str = "", **headers: str) -> str:
        request = urllib.request.Request(self.address + path, headers=headers)
        with urllib.request.urlopen(request, timeout=30) as answer:
            return answer.read().decode()

    def end(self) -> None:
        self.stop.set()
        self.thread.join(10)


def until(true, seconds: float = 10) -> None:
    end = time.monotonic() + seconds
    while not true():
        assert time.monotonic() < end, "waited in vain"
        time.sleep(0.02)


@pytest.fixture
def studies(tmp_path) -> Path:
    for name in ("first", "second"):
        (tmp_path / "studies" / name).mkdir(parents=True)
        (tmp_path / "studies" / name / "study.yaml").write_text(f"{name} as it was")
    return tmp_path / "studies"


@pytest.fixture
def rehearsal(studies):
    running = Rehearsal(studies.parent)
    yield running
    running.end()
    assert not running.thread.is_alive()


def test_a_page_follows_hundreds_of_rapid_edits(rehearsal, studies):
    for n in range(400):
        text = "break" if n % 7 == 3 else f"edit {n}"
        if n % 5 == 4:  # as editors save: a new file in place of the old one
            (studies / "first" / ".new").write_text(text)
            (studies / "first" / ".new").replace(studies / "first" / "study.yaml")
        else:
            (studies / "first" / "study.yaml").write_text(text)
        if n % 50 == 0:
            time.sleep(0.05)
    (studies / "first" / "study.yaml").write_text("the last word")
    until(lambda: "the last word" in rehearsal.get("first/"))
    until(lambda: "rehearsal-problems" not in rehearsal.get("first/"))
    assert "second as it was" in rehearsal.get("second/")
    assert sum("built in" in line for line in rehearsal.said) < 100


def test_the_last_good_page_stays_with_the_problems_on_top(rehearsal, studies):
    (studies / "first" / "study.yaml").write_text("break it")
    until(lambda: "rehearsal-problems" in rehearsal.get("first/"))
    page = rehearsal.get("first/")
    assert "first as it was" in page
    assert page.index("study.yaml:1:3") < page.index("<h1>")
    assert "<break>" not in page
    assert "&lt;break&gt;" in page
    assert "rehearsal-problems" not in rehearsal.get("second/")
    assert "<li>first: study.yaml:1:3" in rehearsal.get()
    until(lambda: any(line.startswith("first: study.yaml:1:3") for line in rehearsal.said))
    (studies / "first" / "study.yaml").write_text("mended")
    until(lambda: "mended" in rehearsal.get("first/"))
    until(lambda: "rehearsal-problems" not in rehearsal.get("first/"))


def test_only_what_changed_is_built_again(rehearsal, studies):
    (studies / "first" / "study.yaml").write_text("other words")
    until(lambda: "other words" in rehearsal.get("first/"))
    # a page is there a moment before its line is said
    again = ["first: built", "second: built", "first: built"]
    until(lambda: len([line for line in rehearsal.said if line.endswith(": built")]) >= len(again))
    assert [line for line in rehearsal.said if line.endswith(": built")] == again


def test_a_browser_hears_of_the_next_build(rehearsal, studies):
    seen = int(re.search(r"let seen = (\d+)", rehearsal.get("first/"))[1])
    answers: list[str] = []
    ask = threading.Thread(
        target=lambda: answers.append(rehearsal.get(f"rehearsal-news?seen={seen}"))
    )
    ask.start()
    ask.join(0.3)
    assert answers == []
    (studies / "first" / "study.yaml").write_text("news")
    ask.join(10)
    assert answers == [f'{{"version": {seen + 1}}}']


def test_studies_come_and_go_and_settings_break(rehearsal, studies):
    (studies / "third").mkdir()
    (studies / "third" / "study.yaml").write_text("here I am")
    until(lambda: "here I am" in rehearsal.get())
    (studies / "settings.yaml").write_text("titel: wrong")
    until(lambda: "settings.yaml:1:1" in rehearsal.get("second/"))
    assert "second as it was" in rehearsal.get("second/")
    (studies / "settings.yaml").write_text("title: Right")
    until(lambda: "settings.yaml" not in rehearsal.get("second/"))


def test_only_this_computer_may_look_and_only_at_the_site(rehearsal, studies):
    host = rehearsal.address.split("/")[2].split(":")[0]
    assert host == "127.0.0.1"
    for path, headers in (("", {"Host": "elsewhere.example"}), ("../../etc/passwd", {}),
                          ("nothing/", {}), ("second/none.pdf", {})):  # fmt: skip
        with pytest.raises(urllib.error.HTTPError) as refused:
            rehearsal.get(path, **headers)
        assert refused.value.code in (403, 404)
        refused.value.close()
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        with pytest.raises(UsageError, match="taken"):
            rehearse(studies.parent, taken.getsockname()[1])


def test_the_policy_is_widened_by_the_reload_script_and_no_more():
    page = dressed(PAGE.format(text="x"), 3, ())
    policy = html.unescape(re.search(r'content="([^"]*)"', page)[1])
    assert re.fullmatch(
        r"default-src 'none'; style-src '[^ ]+' 'sha256-a'; script-src 'sha256-[^ ]+' 'sha256-b'; "
        r"connect-src 'self'",
        policy,
    )
    assert page.count("<script>") == 1
    assert "unsafe" not in policy


@pytest.mark.parametrize(
    "number", [signal.SIGINT, pytest.param(signal.SIGTERM, marks=pytest.mark.slow)]
)
def test_it_ends_cleanly(number, studies, tmp_path):
    place = tmp_path / "temporary"
    place.mkdir()
    for folder in studies.iterdir():
        (folder / "study.yaml").unlink()
    running = subprocess.Popen(
        [sys.executable, "-u", "-m", "explainer", "rehearse", "--port", "0"],
        cwd=studies.parent, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
        env={**os.environ, "TMPDIR": str(place)},
    )  # fmt: skip
    assert running.stdout is not None
    assert "http://127.0.0.1:" in running.stdout.readline()
    assert "built in" in running.stdout.readline()
    time.sleep(0.2)
    running.send_signal(number)
    out, err = running.communicate(timeout=10)
    assert (running.returncode, err) == (0, "")
    assert "rehearsal ended" in out
    assert list(place.iterdir()) == []
