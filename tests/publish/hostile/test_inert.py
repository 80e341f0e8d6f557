"""What a stranger may write is shown as written: no element, link, load or code of it is live."""

from __future__ import annotations

import csv
import io
import json
import re
from html.parser import HTMLParser
from pathlib import Path

import pytest
from click.testing import CliRunner

from explainer.cli import cli
from explainer.errors import DescriptionError
from explainer.publish.rehearse import quick
from explainer.study.load import open_workspace

PWN = "document.documentElement.setAttribute('data-pwned','yes')"
PAYLOADS = {
    "script": f"<script>{PWN}</script>",
    "closing everything": f"--></title></style></script></svg></textarea><script>{PWN}</script>",
    "out of an attribute": f'" autofocus onfocus="{PWN}" x=\'',
    "handler": f'<img src=x onerror="{PWN}"><body onload="{PWN}">',
    "SVG": f"<svg onload=\"{PWN}\"><script>{PWN}</script><image href='https://evil.example/i'/></svg>",
    "frames and objects": "<iframe src='https://evil.example'></iframe><object data='file:///etc/passwd'>"
    "</object><embed src='file:///etc/passwd'>",
    "base and refresh": "<base href='https://evil.example/'><meta http-equiv=refresh "
    "content='0;url=https://evil.example'>",
    "form": "<form action='https://evil.example'><input autofocus name=q>"
    "<button>go</button></form>",
    "style": "<style>@import url(https://evil.example/x.css); *{display:none}</style>"
    "<link rel=stylesheet href='https://evil.example/x.css'><p style='position:fixed'>x</p>",
    "PDF attachment": "<link rel=attachment href='file:///etc/passwd'><a rel=attachment "
    "href='file:///etc/passwd'>x</a>",
    "live links": f"[a](javascript:{PWN}) [b](JaVaScRiPt:{PWN}) [c](data:text/html,x) "
    "[d](//evil.example) [e](vbscript:x) [f](file:///etc/passwd) [g](&#106;avascript:x) "
    f"[h](feed:javascript:x) [i](blob:x) [j](../../../etc/passwd) <javascript:{PWN}>",
    "pictures": "![p](https://evil.example/p.png) ![q](file:///etc/passwd) "
    "![r](data:image/svg+xml,<svg/onload=x>)",
    "template": "{{ 7 * 191 }} {% raw %} {% endraw %} {{ ''.__class__.__mro__ }} "
    "{% include '/etc/passwd' %} {# gone #} ${7*191} <%= 7*191 %>",
    "reference definitions": f'[x][y]\n\n[y]: javascript:{PWN} "t"',
    "format strings": "%s %n {0} {x!r} \\N{BULLET} $HOME `id` $(id)",
}
#: Elements and attributes that only a payload would bring.
NEVER = {"iframe", "object", "embed", "base", "form", "textarea", "frame", "frameset"}


#: What our own pages lead to or carry, in an address with a scheme.
OURS = ("https://example.org", "data:font", "data:image/png")
#: The icon of every page, to the letter.
ICON_FILE = Path(__file__).parents[3] / "templates/parts/icon.html.j2"
ICON = re.search(r'href="([^"]+)"', ICON_FILE.read_text("utf-8"))[1]  # type: ignore[index]


class Page(HTMLParser):
    """Whatever of a page is not ours, and how many scripts it has."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.bad: list[str] = []
        self.scripts = 0
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = {k: v or "" for k, v in attrs}
        self.scripts += tag == "script" and given.get("type") != "application/ld+json"
        addresses = [given.get(k, "") for k in ("href", "src", "xlink:href", "data", "action")]
        addresses = [a for a in addresses if a != ICON]
        foreign = any("evil" in a or (":" in a and not a.startswith(OURS)) for a in addresses)
        if foreign or tag in NEVER or any(k.startswith("on") or k == "style" for k in given):
            self.bad.append(f"<{tag} {given}>")


def page_of(stranger, payload: str, in_names: str = "") -> str:
    """The study's page with ``payload`` in every text."""
    stranger.write(payload, in_names)
    files = quick(stranger.folder, open_workspace(stranger.root)).files
    json.loads(files["results.json"])
    return files["index.html"].decode()


def test_the_study_itself_is_sound(stranger):
    page = Page(page_of(stranger, ""))
    assert page.bad == []
    assert page.scripts == 1


@pytest.mark.parametrize("name", PAYLOADS)
def test_a_payload_in_every_text_is_only_text(stranger, watched, name):
    payload = PAYLOADS[name]
    text = page_of(stranger, f" {payload}", payload.replace("\n", " ")[:60])
    page = Page(text)
    assert page.bad == []
    assert page.scripts == 1
    assert "1337" not in text
    assert "root:x:0" not in text
    if name == "script":
        assert "&lt;script&gt;" in text
    if name == "template":
        assert "{{ 7 * 191 }}" in text


@pytest.mark.parametrize("markdown", [
    "|" + "a|" * 900 + "\n|" + "-|" * 900 + "\n",
    "<table><tr><td colspan=100000>x</td></tr></table>",
    ">" * 990 + " deep", "- " * 990 + "deep", "*a **b " * 2_500, "[" * 6_000,
    "`" * 6_000 + "\n" + "![" * 3_000,
], ids=["wide table", "colspan", "quotes", "lists", "emphasis", "brackets", "ticks"])  # fmt: skip
def test_markdown_that_is_a_weapon(stranger, watched, markdown):
    stranger.set("intro", markdown)
    page = Page(page_of(stranger, ""))
    assert page.bad == []


@pytest.mark.parametrize(("markdown", "expected"), [
    ("|" + "a|" * 4_000 + "\n|" + "-|" * 4_000 + "\n", "at most 2,000 cells in the tables of"),
    (">" * 2_000 + " deep", "at most 1,000 marks of lists and quotes in"),
    ("- " * 2_000 + "deep", "at most 1,000 marks of lists and quotes in"),
], ids=["wide table", "quotes", "lists"])  # fmt: skip
def test_a_weapon_too_heavy_to_lay_out_is_refused(stranger, watched, markdown, expected):
    stranger.set("intro", markdown)
    with pytest.raises(DescriptionError, match=rf"study\.yaml:\d+:\d+: found .*{expected} a text;"):
        page_of(stranger, "")


def test_cells_that_start_a_formula_are_text_in_the_download(stranger, watched):
    stranger.set("tables.readings.columns", {"@remark": "@remark"})
    stranger.write()
    lines = [["ball", "model", "games", "texture", "@remark"]]
    starts = ("=cmd|' /C calc'!A0", "+1+1", "-2+3", "@SUM(A1)", "\t=1", "=HYPERLINK(1)")
    for n, start in enumerate(starts):
        for games in (0, 60):
            reading = 70 - games / 4 + n * (1 + games / 90)
            lines.append([f"B{n}", "Plover", str(games), str(reading), start])
    out = io.StringIO(newline="")
    csv.writer(out).writerows(lines)
    stranger.raw("readings.csv", out.getvalue())
    files = quick(stranger.folder, open_workspace(stranger.root)).files
    download = list(csv.reader(io.StringIO(files["data/readings.csv"].decode(), newline="")))
    assert "'@remark" in download[0]
    remarks = {row[download[0].index("'@remark")] for row in download[1:]}
    assert remarks == {"'" + start for start in starts}


@pytest.mark.slow
def test_paper_carries_no_file_and_no_action_of_a_stranger(stranger, watched):
    import pikepdf

    from explainer.publish.workers import from_folder

    stranger.write(" " + PAYLOADS["PDF attachment"] + PAYLOADS["live links"])
    files = from_folder(stranger.folder, open_workspace(stranger.root)).files
    papers = [name for name in files if name.endswith(".pdf")]
    assert "explainer.pdf" in papers
    for name in papers:
        with pikepdf.open(io.BytesIO(files[name])) as pdf:
            assert not [a for a in pdf.attachments if "passwd" in a], name
            said = pdf.Root.unparse().decode("latin-1")
            assert "/JavaScript" not in said and "/OpenAction" not in said
            for page in pdf.pages:
                for note in page.get("/Annots", []):
                    action = note.get("/A", {})
                    assert action.get("/S", "/URI") in ("/URI", "/GoTo"), name
                    uri = str(action.get("/URI", "https://example.org"))
                    assert uri.startswith(("https://example.org", "#")), (name, uri)


def without_policy(text: str) -> str:
    """The page as if it had no content security policy: what is held must hold by itself."""
    start = text.index('<meta http-equiv="Content-Security-Policy"')
    return text[:start] + text[text.index(">", start) + 1 :]


#: Everything that waits for a reader: focus, the mouse, a press of each of our own buttons.
ROUSE = """() => {
  for (const el of document.querySelectorAll('*')) {
    for (const kind of ['focus', 'mouseover', 'load', 'error'])
      el.dispatchEvent(new Event(kind, {bubbles: false}));
    if (el.matches('details')) el.open = true;
    if (el.matches('input, button')) el.click();
  }
}"""


def opened(browser, path: Path) -> tuple[bool, list[str]]:
    """Whether a stranger's script ran on the page, and every address it asked for."""
    context = browser.new_context()
    page, asked = context.new_page(), []
    page.on("request", lambda request: asked.append(request.url))
    page.goto(path.as_uri())
    page.evaluate(ROUSE)
    page.wait_for_timeout(50)
    ran = page.evaluate("document.documentElement.hasAttribute('data-pwned')")
    context.close()
    return ran, [address for address in asked if not address.startswith("data:")]


@pytest.mark.slow
@pytest.mark.parametrize(("body", "ran", "loads"), [
    (f"<script>{PWN}</script>", True, ""),
    (f'<p onmouseover="{PWN}">x</p>', True, ""),
    ("<img src='https://evil.example/i.png'>", False, "https://evil.example/i.png"),
])  # fmt: skip
def test_the_browser_would_notice(browser, tmp_path, body, ran, loads):
    """The control: what the tests below look for is seen where it is there."""
    path = tmp_path / "control.html"
    path.write_text(f"<!doctype html><title>t</title>{body}", "utf-8")
    found, asked = opened(browser, path)
    assert found is ran
    assert [a for a in asked if a != path.as_uri()] == ([loads] if loads else [])


@pytest.mark.slow
@pytest.mark.parametrize("name", PAYLOADS)
def test_nothing_of_a_payload_runs_or_loads_in_a_browser(stranger, browser, tmp_path, name):
    payload = PAYLOADS[name]
    path = tmp_path / "page.html"
    text = page_of(stranger, f" {payload}", payload.replace("\n", " ")[:60])
    path.write_text(without_policy(text), "utf-8")
    assert opened(browser, path) == (False, [path.as_uri()])


@pytest.mark.slow
def test_nothing_of_a_stranger_runs_or_loads_anywhere_on_a_site(stranger, browser, tmp_path):
    """Front page, topic, glossary, page and script, with every payload in every text at once.

    (On a sheet of paper so much does not fit; ``test_paper_…`` looks at those.)
    """
    everything = " " + " ".join(PAYLOADS.values())
    stranger.set("topic", "wear")
    stranger.write(everything, " <i>x</i>")
    words = [
        {
            "term": "cover grease",
            "source": {"kind": "common-practice", "name": everything},
            **dict.fromkeys(("plainly", "explained", "like", "careful", "say"), everything),
        }
    ]
    (stranger.root / "glossary").mkdir()
    (stranger.root / "glossary" / "own.yaml").write_text(json.dumps(words), "utf-8")
    site = tmp_path / "site"
    publish = ["--workspace", str(stranger.root), "publish", "--into", str(site)]
    told = CliRunner().invoke(cli, [*publish, "--edition", "page", "--edition", "script"])
    assert told.exit_code == 0, told.output
    pages = sorted(site.rglob("*.html"))
    names = [page.relative_to(site).as_posix() for page in pages]
    assert {"index.html", "glossary/index.html", "one/index.html", "one/script/script.html"} <= {
        *names
    }
    for page in pages:
        page.write_text(without_policy(page.read_text("utf-8")), "utf-8")
        ran, asked = opened(browser, page)
        assert not ran, page
        assert all(a.startswith(site.as_uri()) for a in asked), (page, asked)
