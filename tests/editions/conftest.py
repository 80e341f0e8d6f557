"""A hand-made article: every section filled, so that pages can be tested without a study.

All numbers are invented and belong together only as far as the eye needs.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from explainer.editions import article as view
from explainer.editions.press import render_pdf
from explainer.words.glossary.entries import Entry, Glossary
from explainer.words.page.cautions import Cautions
from explainer.words.said import ClaimWords, FigureWords

SHIPPED = Path(__file__).resolve().parents[2] / "templates"


def chart(uid: str) -> str:
    """A drawing as stage 5 makes them: presentation attributes only, ids of its own."""
    lines = "".join(
        f'<polyline points="40,{40 + 9 * i} 150,{120 + 7 * i} 480,{150 + 8 * i}" fill="none"'
        ' stroke="#1b5b7a" stroke-width="1.2"/>'
        for i in range(8)
    )
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 512 288" role="img"'
        f' aria-labelledby="{uid}-t"><title id="{uid}-t">Chart {uid}</title>'
        f'<path d="M40 20V250H500" fill="none" stroke="#857965"/>{lines}'
        '<text x="300" y="60" font-family="Fieldguide Sans" font-size="10" fill="#2a241d">'
        "flat after 20 games</text></svg>"
    )


def strip(uid: str) -> str:
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 300 44" role="img"'
        f' aria-labelledby="{uid}-t"><title id="{uid}-t">Strip {uid}</title>'
        '<rect x="20" y="8" width="130" height="18" fill="#f0e8d7"/>'
        '<path d="M10 30H290" stroke="#857965"/><path d="M60 17H120" stroke="#2a241d"'
        ' stroke-width="3"/><circle cx="90" cy="17" r="5" fill="#2a241d"/></svg>'
    )


def figure(number: int, id: str, title: str) -> view.FigureView:
    return view.FigureView(
        id=id,
        number=number,
        words=FigureWords(
            title=title,
            looking_at="Cover roughness of eight balls, read at six checkpoints.",
            how_to_read="Left to right is games rolled. Higher is rougher. One line is one ball.",
            shows="Every line drops early. By game 20 most of the fall is over.",
            cannot_show="Nothing past 60 games was measured, and no ball was sanded again.",
            description="Eight lines fall from about 75 to 52 microinches, most of it by game 20.",
            x_label="games rolled",
            y_label="cover roughness (microinches)",
            note="8 balls. Made-up data.",
        ),
        say_md="The one *everybody* shares. Look where the lines bend.",
        drawing=view.Drawing(chart(f"c{number}"), "Eight lines fall, most of it by game 20."),
        table=view.NumberTable(
            caption="Cover roughness at each checkpoint, in microinches",
            columns=("ball", "0", "10", "20", "30", "45", "60"),
            rows=tuple((f"P{i}", *(str(87 - 5 * k - i) for k in range(6))) for i in range(1, 9)),
            numeric=(False,) + (True,) * 6,
        ),
        report_figure="Figure 1, page 4",
        source="Table 2, page 5",
        claims=(("texture-falls", "Sanded balls go smooth as you bowl."),),
    )


def claim(number: int, id: str, code: str, label: str, plainly: str) -> view.ClaimView:
    return view.ClaimView(
        id=id,
        number=number,
        code=code,
        words=ClaimWords(
            label=label,
            plainly=plainly,
            says="Across the 8 balls the reading fell by about 22 microinches, give or take 3.",
            because=("Leave out ball T2 and the answer stays the same.",),
            settle="About 14 balls would settle it.",
            strip="The whole likely range, 19 to 25 lower, lies where the claim needs it.",
            estimate="22 microinches lower",
            method="Mean of each ball's own change, with a t interval over balls.",
        ),
        report_says="Surface texture decreased over the sixty-game test.",
        where="page 4",
        key=number == 1,
        strip=view.Drawing(strip(f"s{number}"), "The range lies where the claim needs it."),
        figure=("texture-over-play", 1),
        numbers=(
            ("Best estimate", "−22.1 microinches"),
            ("95% range", "−25.0 to −19.2"),
            ("Balls", "8"),
            ("Readings", "16"),
        ),
    )


def _make(**changes: object) -> view.Article:
    claims = (
        claim(
            1,
            "texture-falls",
            "backed",
            "Backed by this data",
            "Sanded balls go smooth as you bowl.",
        ),
        claim(
            2,
            "hook-steady",
            "cannot-tell",
            "Can’t tell from this data",
            "The balls hooked as much at the end as at the start.",
        ),
        claim(
            3,
            "worn-hooks-less",
            "not-tested",
            "Not tested in this study",
            "When your own ball goes smooth, it hooks less than it did.",
        ),
    )
    links = tuple(
        view.LinkView(
            c.id,
            c.words.plainly,
            c.code,
            c.words.label,
            "so a rolled ball is smoother than it was",
            c.number == 2,
        )
        for c in claims
    )
    fields: dict[str, object] = {
        "id": "cover-texture",
        "title": "Does a sanded cover keep its bite?",
        "question": "Once a freshly sanded ball has been rolled, does it then hook less?",
        "answer": "The covers did go smooth, but this data can’t show that hook goes with it.",
        "short": (
            "Eight balls were sanded and rolled for sixty games.",
            "All eight lost cover roughness, most of it in the first twenty games.",
        ),
        "intro_md": "A bench report lands on the table, **twelve pages** of charts.",
        "tested": "Four balls each of two invented models, new from the box.",
        "facts": (("Balls", "8, in 2 models"), ("Checkpoints", "0, 10, 20, 30, 45, 60 games")),
        "disclaimer": "Made-up data: the balls, the bench and every number here are invented.",
        "report": view.ReportView(
            "Cover texture over play", "Brackenfold Test Bench", "February 11, 2026", 12
        ),
        "figures": (
            figure(1, "texture-over-play", "All eight covers went smooth, and early"),
            figure(2, "hook-over-play", "Hook went nowhere you could call home"),
        ),
        "claims": claims,
        "rule": view.RuleView(
            change="Covers must read at least 50 microinches before league play.",
            facts=(("From", "September 1, 2026"), ("Who", "every ball on the table")),
            drawing=view.Drawing(chart("chain"), "Three links; the second is the weakest."),
            links=links,
            summary="The chain is as strong as its second link, and that one can’t be told.",
        ),
        "stated": (
            view.StatedView("mean texture at game 0", "Table 2", "71.4", "71.44", "agrees"),
        ),
        "stated_says": ("The mean at game 0 comes out as printed.",),
        "questions": (
            view.QuestionView(
                "What happens after 60 games?",
                "Nobody measured there.",
                "The same balls out to 300 games.",
            ),
        ),
        "advice": (
            (
                "Count your games since the last sanding.",
                (("texture-falls", "Sanded balls go smooth as you bowl.", "Backed by this data"),),
            ),
        ),
        "cautions": Cautions("Before anyone sands a ball.", ("It makes fine dust.",), "Dust."),
        "several": "Three claims were tested at once; one survives the correction.",
        "methods": tuple((c.words.plainly, c.words.method) for c in claims),
        "thresholds": (("A correlation is called strong from", "0.7"),),
        "left_out": ("Ball P3 at game 20: no reading.",),
        "data_source": "",
        "hashes": (("checkpoints.csv", "ab" * 32),),
        "downloads": (
            view.Download("explainer.pdf", "This page to print"),
            view.Download("data/checkpoints.csv", "Readings at each checkpoint"),
        ),
        "corrections": (),
        "version": "0.1.0",
    }
    return view.Article(**(fields | changes))  # type: ignore[arg-type]


GLOSSARY = Glossary(
    (
        Entry(
            "cover roughness",
            "how rough the cover is",
            "How rough the cover is: the average height of its tiny scratches.",
        ),
        Entry(
            "total hook",
            "how far the ball bends",
            "How many boards the ball moves from its straight line.",
            like="One board is about an inch.",
            careful="It is not the same as carry.",
        ),
    )
)


@pytest.fixture(scope="session")
def make_article():
    """The hand-made article, with fields changed: ``make_article(rule=None)``."""
    return _make


@pytest.fixture(scope="session")
def article() -> view.Article:
    return _make()


@pytest.fixture(scope="session")
def glossary() -> Glossary:
    return GLOSSARY


@pytest.fixture(scope="session")
def shipped() -> tuple[Path, ...]:
    return (SHIPPED,)


@pytest.fixture(scope="session")
def pdf(article, glossary, shipped) -> bytes:
    return render_pdf(article, glossary, shipped)
