"""The look over a finished site: each kind of fault is found, and a sound page passes."""

from __future__ import annotations

import pytest

from explainer.errors import BrokenPageError
from explainer.publish.check import check_site

SOUND = (
    "<!doctype html><title>t</title><style>@font-face{src:url(data:font/woff2;base64,AA)}</style>"
    "<h1 id=a>x</h1><a href='#a'>a</a><a href='other/index.html#b'>b</a>"
    "<a href='https://example.org/report'>the report</a><img src='data:image/png;base64,AA' alt=x>"
)


@pytest.fixture
def site(tmp_path):
    def make(extra: str = "") -> None:
        (tmp_path / "other").mkdir()
        (tmp_path / "other" / "index.html").write_text(
            "<h1 id=b>y</h1><a href='../index.html'>.</a>"
        )
        (tmp_path / "index.html").write_text(SOUND + extra)
        check_site(tmp_path)

    return make


def test_a_sound_site_passes(site):
    site()


@pytest.mark.parametrize(
    ("extra", "said"),
    [
        ("<a href='gone.html'>x</a>", "links to gone.html, which is not there"),
        ("<a href='other/'>x</a>", "links to other/, which is not there"),
        ("<a href='../outside.html'>x</a>", "which is not there"),
        ("<a href='#nowhere'>x</a>", "no such place on that page"),
        ("<a href='other/index.html#c'>x</a>", "no such place on that page"),
        ("<a href='javascript:alert(1)'>x</a>", "links to javascript"),
        ("<a href='//example.org/x'>x</a>", "links to //example.org/x"),
        ("<a href='http://[x'>x</a>", "links to http://[x, which is no address"),
        ("<![<![<!", "index.html: holds a declaration that no reader of pages knows"),
        ("<p id=a>again</p>", "the id a stands twice"),
        ("<p style='color:red'>x</p>", "<p style> is not shown"),
        ("<img src='https://example.org/x.png' alt=x>", "would load https://example.org/x.png"),
        ("<img src='picture.png' alt=x>", "would load picture.png"),
        ("<script src='https://example.org/x.js'></script>", "would load https://example.org/x.js"),
        ("<link rel=stylesheet href='x.css'>", "would load x.css"),
        ("<style>p{background:url(https://example.org/x)}</style>", "would load https://example"),
        ("<style>@import 'https://example.org/x.css';</style>", "would load https://example"),
        ("<svg><image href='https://example.org/x.png'/></svg>", "would load https://example"),
        ("<iframe src='https://example.org'></iframe>", "would load https://example.org"),
        ("<meta http-equiv=refresh content='0;url=https://example.org'>", "would load 0;url"),
    ],
)
def test_each_fault_is_found(site, extra, said):
    with pytest.raises(BrokenPageError) as caught:
        site(extra)
    assert said in str(caught.value)
    assert str(caught.value).startswith("index.html: ")
