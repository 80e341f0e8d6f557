"""What stands around a video: a comment to pin, the questions it leaves open, the short clips."""

from __future__ import annotations

import json
import re

from explainer.editions.article import Article
from explainer.editions.script_clock import clock
from explainer.editions.script_shorts import STEPS, Clip
from explainer.words.script.kit import KitWords
from explainer.words.script.talk import Screen

#: What Markdown takes for more than text.
_MARKS = re.compile(r"([\\`*_\[\]<>#|~])")


def comment(kit: KitWords, article: Article) -> str:
    """What to pin under the video: what was put right, the answer, and a question."""
    told = [" ".join(text.split()) for text in kit.comment]
    if article.base_address:
        told.append(f"{article.base_address}/{article.id}/")
    return "\n\n".join(told).replace("<", "").replace(">", "") + "\n"


def open_questions(kit: KitWords, study: str) -> str:
    """Every open question as the block of a next study's ``study.yaml``, ready to be copied.

    JSON strings are YAML strings, so whatever a question holds it is read back as it was.
    """
    lines = [f"# {kit.notice}"] if kit.notice else []
    lines += [f"# {kit.questions}: {study}/ID", "questions:" if kit.asked else "questions: []"]
    for ask, settled, id in kit.asked:
        lines.append(f"  - ask: {_quoted(ask)}")
        lines += [f"    settled_by: {_quoted(settled)}"] if settled else []
        lines += [f"    id: {id}"] if id else []
    return "\n".join(lines) + "\n"


def _quoted(text: str) -> str:
    return json.dumps(" ".join(text.split()), ensure_ascii=False)


def shorts(clips: tuple[Clip, ...], article: Article, rate: int) -> str:
    """The plans of all short clips as Markdown: when, over which picture, what is said."""
    told = [
        f"# Short clips: {_plain(article.title)}",
        f"One a claim, {article.disclaimer and 'made-up data, '}tall pictures (9 to 16), at {rate}"
        " words a minute. The pictures, captions and timelines are made by `explainer publish"
        " --edition kit`, in the folder `shorts`.",
    ]
    for clip in clips:
        over = "" if clip.fits else ", more than 40 at this speaking rate"
        told.append(f"## {_plain(clip.short.card.title)}")
        told.append(f"{clip.seconds:.0f} seconds{over} · `{clip.short.claim}`")
        for scene in clip.cut.scenes:
            told.append(f"**{clock(scene.start)}** · {_picture(clip, scene.screen)}")
            told += [_plain(line.aloud) for line in scene.said if line.kind != "react"]
        if clip.held:
            told.append(f"*Hold the last picture for {clip.held:.0f} seconds.*")
    return "\n\n".join(told) + "\n"


def _picture(clip: Clip, screen: Screen) -> str:
    if screen.of.startswith("figure:"):
        return f"the figure `{clip.short.figure}`"
    return "the claim" if screen.step == STEPS["claim"] else "the claim with its verdict"


def _plain(text: str) -> str:
    """Text that Markdown takes for nothing but text, on one line."""
    bare = _MARKS.sub(r"\\\1", " ".join(text.split()))
    return re.sub(r"^(\d*)([.)+=-])", r"\1\\\2", bare)
