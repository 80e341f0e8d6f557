"""A script's plain files: captions, chapters, and the description that goes under a video."""

from __future__ import annotations

from explainer.editions.article import Article
from explainer.editions.script_clock import clock
from explainer.editions.script_cuts import Cut, marks
from explainer.words.quantity.sizes import tally
from explainer.words.script.desk import begun

#: What common video sites take (value from memory).
LONGEST_DESCRIPTION = 5000


def captions(cut: Cut, title: str, notice: str) -> str:
    """WebVTT (W3C): one caption after the other, none while someone reacts."""
    blocks = ["WEBVTT", f"NOTE\n{_one(title)}, {cut.label.lower()}"]
    if notice:
        blocks.append(f"NOTE\n{_one(notice)}")
    number = 0
    for scene in cut.scenes:
        for line in scene.said:
            at = line.start
            for cue in line.cues:
                number += 1
                times = f"{stamp(at)} --> {stamp(at + cue.seconds)}"
                blocks.append("\n".join([str(number), times, *map(_escaped, cue.lines)]))
                at += cue.seconds
    return "\n\n".join(blocks) + "\n"


def chapters(cut: Cut) -> str:
    """One chapter a line: its time and its title."""
    return "".join(f"{clock(at)} {title}\n" for at, title in marks(cut))


def description(article: Article, cut: Cut) -> str:
    """What stands under the video: the answer, chapters, claims, sources and open questions."""
    blocks = [[article.title], [article.question], [article.answer]]
    if article.disclaimer:
        blocks.insert(0, ["MADE-UP DATA. " + article.disclaimer.replace("on this page ", "")])
    blocks.append(["CHAPTERS", *chapters(cut).splitlines()])
    if article.claims:
        told = [f"{begun(c.words.plainly)} {c.words.label}." for c in article.claims]
        blocks.append(["CLAIM BY CLAIM", *(f"- {line}" for line in told)])
    asked = [f"- {q.ask}" for q in article.questions[:6]]
    if asked:
        blocks.append(["STILL OPEN: WHAT WOULD YOU MEASURE?", *asked])
    if sources := _sources(article):
        blocks.append(["SOURCES", *sources])
    text = "\n\n".join("\n".join(block) for block in blocks).replace("<", "").replace(">", "")
    return text[: LONGEST_DESCRIPTION - 1].rstrip() + "\n"


def _sources(article: Article) -> list[str]:
    report, found = article.report, []
    if report is not None:
        parts = [report.title, report.publisher, report.date]
        pages = tally(report.pages, "page") if report.pages else ""
        found.append("- The report: " + ", ".join(p for p in (*parts, pages) if p) + ".")
        if report.link:
            found.append(f"- {report.link}")
    if article.data_source:
        found.append(f"- {article.data_source}")
    if article.base_address:
        found.append(f"- Every number and how it was worked out: "
                     f"{article.base_address}/{article.id}/")  # fmt: skip
    return found


def stamp(at: float) -> str:
    """Seconds as a WebVTT time: 00:01:02.345."""
    thousandths = round(at * 1000)
    minutes, rest = divmod(thousandths, 60_000)
    return f"{minutes // 60:02d}:{minutes % 60:02d}:{rest // 1000:02d}.{rest % 1000:03d}"


def _escaped(line: str) -> str:
    return line.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")


def _one(text: str) -> str:
    """One line that cannot be taken for a timing."""
    return " ".join(text.split()).replace("-->", "→")
