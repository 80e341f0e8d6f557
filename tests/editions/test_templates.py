"""A workspace's own templates: they win, file by file, and a faulty one says where."""

from __future__ import annotations

import random
import re
import signal
from pathlib import Path

import pytest
from jinja2.exceptions import SecurityError

from explainer.charts import svg
from explainer.editions.page import _bare, _squeezed, render_page
from explainer.editions.templates import (
    APOSTROPHE,
    _curled,
    environment,
    template_faults,
    tidied,
)
from explainer.errors import StudyError, WorkspaceError


@pytest.fixture
def page_with(tmp_path, article, glossary, shipped):
    """The page with one template file of the workspace's own."""

    def make(name: str, text: str) -> str:
        own = tmp_path / "templates"
        (own / name).parent.mkdir(parents=True, exist_ok=True)
        (own / name).write_text(text, encoding="utf-8")
        return render_page(article, glossary, (own, *shipped))

    return make


def test_a_file_of_the_workspace_takes_the_place_of_ours(page_with, article):
    html = page_with("sections/short.html.j2", "<p>In short: {{ article.title }}</p>")
    assert f"<p>In short: {article.title}</p>" in html
    for_people = re.sub(r'<script type="application/ld\+json".*?</script>', "", html, flags=re.S)
    assert article.short[0] not in for_people
    assert article.tested in html


def test_own_style_is_covered_by_the_policy(page_with):
    html = page_with("site.css", "body { color: teal }")
    assert "body { color: teal }" in html
    assert "grid-template" not in html


@pytest.mark.parametrize(
    ("name", "text", "place", "said"),
    [
        ("sections/short.html.j2", "<p>\n{{ article.titel }}", "sections/short.html.j2:2", "titel"),
        ("sections/short.html.j2", "\n\n{% if %}", "sections/short.html.j2:3", "Expected"),
        ("sections/short.html.j2", "{% include 'gone.j2' %}", "gone.j2:1", "no such file"),
        ("sections/short.html.j2", "\n{{ 1 / 0 }}", "sections/short.html.j2:2", "division by zero"),
        ("sections/short.html.j2", "\n{{ 'a\\ud800' }}", "short.html.j2:2", "half a character"),
        ("sections/short.html.j2", "{{ ''.__class__.__mro__ }}", "short.html.j2:1", "unsafe"),
        ("site.css", "a{}\n</style><script>alert(1)</script>", "site.css:2", "ends the element"),
        ("page.js", "// </script>", "page.js:1", "ends the element"),
        ("site.css", "a{}\n@font-face{src:url(https://a.example/x.woff)}", "site.css:2",
         "`https://a.example/x.woff`, which would be loaded"),
        ("site.css", "\n\na{background: URL( 'gone.png' )}", "site.css:3", "`gone.png`, which"),
        ("print.css", "@import 'other.css';", "print.css:1", "`other.css`, which"),
    ],
)
def test_a_faulty_template_says_where(page_with, name, text, place, said):
    with pytest.raises(WorkspaceError) as caught:
        page_with(name, text)
    [problem] = caught.value.problems
    assert place in str(problem)
    assert said in str(problem)


def test_a_template_file_that_is_not_text_says_so(tmp_path, article, glossary, shipped):
    (tmp_path / "site.css").write_bytes(b"\xff\xfe\x00")
    with pytest.raises(WorkspaceError, match=re.escape("templates/site.css:1:1")):
        render_page(article, glossary, (tmp_path, *shipped))


def test_markdown_is_made_fit_to_stand_in_a_section():
    assert tidied("<h2>So <em>there</em></h2>") == ('<p><b class="lead">So <em>there</em></b></p>')
    assert tidied('<td style="text-align:right">1</td><td style="text-align:left">a</td>') == (
        '<td class="n">1</td><td>a</td>'
    )
    assert tidied("<ul><li>a</li><li>\n<p>b</p></li></ul>") == (
        '<ul><li>a</li><li class="loose">\n<p>b</p></li></ul>'
    )
    assert tidied("<li>a<ul><li>b</li></ul></li>") == '<li class="loose">a<ul><li>b</li></ul></li>'


def test_a_file_that_a_workspace_gains_or_loses_counts_at_once(tmp_path: Path) -> None:
    """As in a rehearsal, where the shipped template was read before and is unchanged."""
    ours, theirs = tmp_path / "shipped" / "templates", tmp_path / "home" / "templates"
    for folder in (ours, theirs):
        folder.mkdir(parents=True)
    (ours / "a.html.j2").write_text("ours")
    env = environment((theirs, ours))
    assert env.get_template("a.html.j2").render() == "ours"
    (theirs / "a.html.j2").write_text("theirs")
    assert env.get_template("a.html.j2").render() == "theirs"
    (theirs / "a.html.j2").unlink()
    assert env.get_template("a.html.j2").render() == "ours"


def test_what_is_done_to_all_html_is_what_a_simple_pattern_says():
    """The patterns say it shortest; on a long run they take the square of its length."""
    chance = random.Random(5)
    for _ in range(5_000):
        text = "".join(chance.choices("a's<>\n  \t'", k=chance.randint(0, 14)))
        assert _curled(text) == re.sub(rf"(?:{APOSTROPHE})(?![^<>]*>)", "’", text), repr(text)
        assert str(_squeezed(text)) == re.sub(r"\n\s+(?=<)", "\n", text), repr(text)


@pytest.mark.skipif(not hasattr(signal, "setitimer"), reason="no clock of the processor here")
@pytest.mark.parametrize(
    ("work", "piece"),
    [(_bare, "/* "), (_squeezed, "\n"), (_squeezed, "\n "), (_curled, "a'"), (svg.looks, "<svg "),
     (lambda page: svg.with_looks(page, {}), "<svg ")],
)  # fmt: skip
def test_a_page_of_a_million_marks_takes_no_square_of_it(work, piece):
    """A file of a workspace's own may hold nothing else; it took minutes, up to an hour."""

    def too_long(number, frame):
        raise TimeoutError

    before = signal.signal(signal.SIGPROF, too_long)
    signal.setitimer(signal.ITIMER_PROF, 20)  # seconds of processor: it takes less than one
    try:
        assert work(piece * 300_000) is not None
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0)
        signal.signal(signal.SIGPROF, before)


@pytest.mark.parametrize("filter_", ["words", "measures", "prose"])
def test_a_text_doubled_without_end_is_not_read_closely(page_with, filter_):
    doubled = "{% set a = namespace(t='a') %}{% for i in range(21) %}{% set a.t = a.t ~ a.t %}"
    with pytest.raises(WorkspaceError, match=r"short\.html\.j2:1:1: .* 1,000,000 characters"):
        page_with("sections/short.html.j2", f"{doubled}{{% endfor %}}{{{{ a.t|{filter_} }}}}")


def test_a_style_that_carries_what_it_shows_is_no_fault(page_with):
    style = "a{background:url(data:image/png;base64,AA==)} b{fill:url(#grey)}"
    assert style in page_with("site.css", style)


def test_where_a_thing_lies_in_memory_is_told_nobody(page_with):
    with pytest.raises(WorkspaceError) as caught:
        page_with("sections/short.html.j2", "{{ [1] | map(range) | list }}")
    assert "0x" not in str(caught.value)
    assert "short.html.j2:1" in str(caught.value)


def test_a_page_that_tells_too_much_is_no_fault_of_ours():
    """150,000 readings of a gauge, each a dot: more text than a page may have."""
    with pytest.raises(StudyError, match=r"study\.yaml.*more than .* characters of text.*fewer"), \
            template_faults(()):
        raise SecurityError("more than 20,000,000 characters of text")
