"""The video script: for a person at a camera, every file of it in memory.

A shooting script and a read-through in three lengths, captions, chapters, a description, and
the numbered stills it speaks over.  Nothing in it says more than the page does.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path
from typing import Any

from markupsafe import Markup

from explainer.charts import svg
from explainer.charts.style import PALETTE, Scheme
from explainer.claims.verdict import Judgement
from explainer.editions.article import Article, Download
from explainer.editions.own_words import marked_whose, own_templates, said_whose
from explainer.editions.page import style
from explainer.editions.policy import policy
from explainer.editions.script_clock import REACTION, clock, cues, seconds
from explainer.editions.script_cuts import (
    LENGTHS,
    Chapter,
    Cut,
    Said,
    Scene,
    all_cuts,
    counted,
    marks,
)
from explainer.editions.script_retimed import Retimed, retimed
from explainer.editions.script_stills import Still, all_stills, pngs
from explainer.editions.script_timeline import captions, cuts_csv, subrip, timeline
from explainer.editions.templates import environment, safe_source, template_faults
from explainer.words.phrases.sandbox import named
from explainer.words.quantity.sizes import tally
from explainer.words.quantity.spoken import spoken
from explainer.words.say import in_first_units, say
from explainer.words.script.desk import RANKS, begun, for_an_ear, heard_talk
from explainer.words.script.kit import KitWords, Short, ShortLine, kit_words
from explainer.words.script.talk import Screen, Talk
from explainer.words.script.talk_of_study import say_script

# Short vertical clips: one claim each, 20 to 40 seconds, with its limits said in it.

SHORTEST, LONGEST = 20.0, 40.0
#: Picture of a line -> the step of the clip's own card; a figure is shown whole.
STEPS = {"claim": 0, "verdict": 1}


@dataclass(frozen=True)
class Clip:
    """The plan of one clip: its lines on the clock, and how long its last picture is held."""

    short: Short
    cut: Cut
    held: float
    """Seconds of the last picture without words, so that the clip is not too short."""

    @property
    def seconds(self) -> float:
        return round(self.cut.seconds, 3)

    @property
    def fits(self) -> bool:
        return SHORTEST - 0.001 <= self.seconds <= LONGEST + 0.001


def clip_of(short: Short, rate: int) -> Clip:
    """A claim's clip at a speaking rate: what must be said, then what there is room for.

    Of a finding that is too long its last sentences go, never the first and never the verdict;
    then another, shorter limit stands in for the dearest one.  At a very slow rate the clip may
    still be over 40 seconds, which ``fits`` says.
    """
    short = _heard(short)
    said = {n: line for n, line in enumerate(short.lines) if line.rank <= 2}
    while _takes(said, rate) > LONGEST and _shortened(said):
        pass
    if _takes(said, rate) > LONGEST:
        _replaced(said, rate)
    further = [n for n, line in enumerate(short.lines) if line.rank > 2]
    for n in sorted(further, key=lambda n: short.lines[n].rank):
        known = {text for line in said.values() for text in line.said}
        if known.isdisjoint(short.lines[n].said):
            more = {**said, n: short.lines[n]}
            said = more if _takes(more, rate) <= LONGEST else said
    return _on_the_clock(short, [said[n] for n in sorted(said)], rate)


def _heard(short: Short) -> Short:
    """The same as it is said: no decimal, no sentence of figures."""
    lines = [
        replace(line, said=tuple(map(for_an_ear, line.said)),
                instead=tuple(map(for_an_ear, line.instead)))
        for line in short.lines
    ]  # fmt: skip
    return replace(short, lines=tuple(lines))


def _takes(said: Mapping[int, ShortLine], rate: int) -> float:
    return sum(seconds(" ".join(line.said), rate) for line in said.values())


def _shortened(said: dict[int, ShortLine]) -> bool:
    """Leaves out the last sentence of what was found; False where only one is left."""
    for n, line in said.items():
        if line.rank == 2 and len(line.said) > 1:
            said[n] = replace(line, said=line.said[:-1])
            return True
    return False


def _replaced(said: dict[int, ShortLine], rate: int) -> None:
    """Puts in the first of the other limits with which the clip fits, else the shortest."""
    for n, line in said.items():
        ways = [replace(line, said=(text,), instead=()) for text in line.instead]
        if ways:
            fitting = (w for w in ways if _takes({**said, n: w}, rate) <= LONGEST)
            shortest = min([line, *ways], key=lambda w: _takes({n: w}, rate))
            said[n] = next(fitting, shortest)


def _on_the_clock(short: Short, lines: list[ShortLine], rate: int) -> Clip:
    scenes: list[Scene] = []
    at = 0.0
    for line in lines:
        text = " ".join(line.said)
        made = cues(text, rate)
        said = Said("say", text, spoken(text), at, sum(c.seconds for c in made), made)
        screen = _screen(short, line)
        if scenes and scenes[-1].screen == screen:
            scenes[-1] = replace(scenes[-1], said=(*scenes[-1].said, said))
        else:
            scenes.append(Scene(screen, at, (said,)))
        at += said.seconds
    held = round(max(0.0, SHORTEST - at), 3)
    if held:
        pause = Said("react", "", "", at, held, ())
        scenes[-1] = replace(scenes[-1], said=(*scenes[-1].said, pause))
    whole = Chapter(short.claim, short.card.title, 0.0, tuple(scenes))
    return Clip(short, Cut(short.claim, "Short clip", LONGEST, (whole,)), held)


def _screen(short: Short, line: ShortLine) -> Screen:
    if line.picture == "figure":
        return Screen(f"figure:{short.figure}", WHOLE)
    return Screen(f"card:short-{short.claim}", STEPS[line.picture])


#: More than any step of a figure: all of it but its last word, the title.
WHOLE = 98


# What stands around a video: a comment to pin, the questions it leaves open, the short clips.

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


# The prompter: a page of large words that scrolls as fast as they are said, offline.

def prompter(known: dict[str, Any], folders: tuple[Path, ...]) -> str:
    """The page, from what the script's own templates know.  It carries no type of its own, so
    that it stays small: a prompter has fonts, and needs no other letters than a voice does.

    Raises WorkspaceError where a template is faulty.
    """
    css, script = safe_source(folders, "prompter.css"), safe_source(folders, "prompter.js")
    with template_faults(folders):
        page = environment(folders).get_template("prompter.html.j2").render(
            known, css=Markup(css), script=Markup(script), policy=policy(css, script),
            clock=named(clock),
        )  # fmt: skip
    return said_whose(page, own_templates(folders))


FOLDER = "script"


@dataclass(frozen=True)
class Script:
    """Everything the files of a script are made from."""

    article: Article
    talk: Talk
    cuts: tuple[Cut, ...]
    stills: dict[Screen, Still]
    rate: int
    schemes: tuple[Scheme, ...] = ("light",)
    frame_rate: float = 30
    kit: KitWords | None = None
    clips: tuple[Clip, ...] = ()
    """The short clips, one a claim."""
    recorded: Retimed | None = None
    """The length that was recorded, on the recording's clock."""

    def on_clock(self, cut: Cut) -> Cut:
        """A cut as its captions are timed: as it was recorded, if it was."""
        made = self.recorded.cut if self.recorded is not None else cut
        return made if made.name == cut.name else cut

    @property
    def shown(self) -> tuple[Still, ...]:
        """Every still once, by number."""
        return tuple({s.number: s for s in self.stills.values()}.values())


#: Read by the page, so that its downloads lead here.
DOWNLOADS = (
    Download(f"{FOLDER}/script.html", "A script for a video, still by still, whole and cut short"),
    Download(f"{FOLDER}/script.md", "The same script as Markdown"),
    Download(f"{FOLDER}/stills.html", "Every still on one sheet, light and dark"),
    Download(f"{FOLDER}/captions.vtt", "Captions for the full length"),
    Download(f"{FOLDER}/captions.srt", "The same captions, for editing programs"),
    Download(f"{FOLDER}/timeline.otio", "A timeline of stills, chapters and captions for editing"),
    Download(f"{FOLDER}/prompter.html", "The script as a prompter, in large text that scrolls"),
    Download(f"{FOLDER}/shorts.md", "Short vertical clips, one a claim, planned"),
    Download(f"{FOLDER}/cuts.csv", "The same as a table: still, in, out"),
    Download(f"{FOLDER}/description.txt", "What to put under the video"),
)


#: The workspace's setting ``stills`` -> the paper they are painted on.
SCHEMES: dict[str, tuple[Scheme, ...]] = {
    "light": ("light",), "dark": ("light", "dark"),
}  # fmt: skip


def compose_script(judgement: Judgement, article: Article) -> Script:
    """The script of a judged study, at the workspace's speaking rate."""
    settings = judgement.study.workspace.settings
    rate = settings.speaking_rate
    words = say(judgement, settings.audience)
    talk = heard_talk(in_first_units(judgement, say_script(judgement, words)))
    cuts = all_cuts(talk, rate)
    said = " ".join(line.text for scene in cuts[-1].scenes for line in scene.said)
    kit = in_first_units(judgement, kit_words(judgement, words, said))
    stills, recording = dict(all_stills(talk, judgement, words)), judgement.study.recording
    return Script(
        article, talk, cuts, stills, rate, SCHEMES[settings.stills], settings.frame_rate,
        kit, tuple(clip_of(short, rate) for short in kit.shorts),
        retimed(cuts, stills, recording) if recording is not None else None,
    )  # fmt: skip


@dataclass(frozen=True)
class SeenStill:
    """What a template may know of a still."""

    number: int
    name: str
    uid: str
    step: int
    says: str

    @classmethod
    def of(cls, still: Still) -> SeenStill:
        return cls(still.number, still.name, still.uid, still.step, still.says)


def script_files(script: Script, folders: tuple[Path, ...]) -> dict[str, bytes]:
    """``script/…``: the path and content of each file.  Stills in dark lie in ``stills/dark``.

    Raises WorkspaceError where a template is faulty.
    """
    texts = script_texts(script, folders)
    files = {f"{FOLDER}/{name}": text.encode("utf-8") for name, text in texts}
    for scheme in script.schemes:
        place = f"{FOLDER}/stills" + ("/dark" if scheme == "dark" else "")
        files |= {f"{place}/{n}.png": data for n, data in pngs(script.shown, scheme).items()}
    return files


def script_texts(script: Script, folders: tuple[Path, ...]) -> list[tuple[str, str]]:
    """Name and text of every file of a script that is no picture."""
    article = script.article
    made = [
        ("script.html", render(script, folders, "script.html.j2")),
        ("stills.html", render(script, folders, "script-stills.html.j2")),
        ("script.md", render_markdown(script, folders)),
        ("description.txt", description(article, script.on_clock(script.cuts[-1]))),
        ("prompter.html", prompter(_known(script), folders)),
    ]
    if script.kit is not None:
        made += [
            ("comment.txt", comment(script.kit, article)),
            ("open-questions.yaml", open_questions(script.kit, article.id)),
            ("shorts.md", shorts(script.clips, article, script.rate)),
        ]
    for cut in map(script.on_clock, script.cuts):
        tail = "" if cut.target is None else f"-{cut.name}"
        made.append((f"captions{tail}.vtt", captions(cut, article.title, script.talk.made_up)))
        made.append((f"captions{tail}.srt", subrip(cut)))
        made.append((f"chapters{tail}.txt", chapters(cut)))
        stills, rate = script.stills, script.frame_rate
        made.append((f"timeline{tail}.otio", timeline(cut, stills, article.title, rate)))
        made.append((f"cuts{tail}.csv", cuts_csv(cut, stills, rate)))
    return made


def render(script: Script, folders: tuple[Path, ...], template: str) -> str:
    """One of the script's pages, with the letters that it shows."""
    with template_faults(folders):
        whole = partial(
            environment(folders).get_template(template).render, _known(script),
            stock=Markup("\n".join(_stock(script))), picture=_painter(script),
        )  # fmt: skip
        shown = style(folders, "screen", whole(css="", policy=""))
        css = "\n".join([shown, _schemes(), safe_source(folders, "script.css")])
        page = whole(css=Markup(css), policy=policy(css, ""))
        return said_whose(page, own_templates(folders))


def render_markdown(script: Script, folders: tuple[Path, ...]) -> str:
    """The script as Markdown: the same words, with links to the stills."""
    with template_faults(folders):
        env = environment(folders).overlay(autoescape=False)
        template = env.get_template("script.md.j2")
        text = template.render(_known(script), md=named(_marked)).strip() + "\n"
        return marked_whose(text, folders)


def _marked(text: str) -> str:
    """Text that Markdown takes for nothing but text: one line, no mark that means anything.

    Every mark is escaped that CommonMark or its common extensions read, at the start of a line or
    inside it, addresses that some of them link among them.
    """
    line = " ".join(text.split())
    line = re.sub(r"([\\`*_~\[\]<>#|&$^])", r"\\\1", line)
    line = re.sub(r"(?<=[a-z])(:)(?=//)|(?<=\bwww)(\.)", r"\\\g<0>", line)
    return re.sub(r"^(\d{1,9})([.)])(?=\s|$)|^([-+=:])", _at_start, line)


def _at_start(found: re.Match[str]) -> str:
    """What would begin a list, a rule or a heading at the start of a line."""
    return f"{found[1]}\\{found[2]}" if found[1] else f"\\{found[3]}"


def _known(script: Script) -> dict[str, Any]:
    seen = {screen: SeenStill.of(still) for screen, still in script.stills.items()}
    return {
        "article": script.article, "talk": script.talk, "cuts": script.cuts,
        "stills": seen, "shown": tuple(map(SeenStill.of, script.shown)), "rate": script.rate,
        "clock": named(clock), "marks": named(marks), "ranks": RANKS,
        "reaction": int(REACTION), "longest": len(LENGTHS),
        "schemes": script.schemes, "counted": named(_told_count),
    }  # fmt: skip


def _told_count(cut: Cut) -> str:
    """What a listener meets in a cut, in one line."""
    return counted(cut).line


def _stock(script: Script) -> list[str]:
    plates = {still.uid: still.plate for still in script.shown}
    return [svg.stock(plate, uid) for uid, plate in plates.items()]


def _painter(script: Script) -> Callable[[SeenStill, str], Markup]:
    """Draws a still that a template names; the drawing itself stays out of the template."""
    plates = {still.uid: still.plate for still in script.shown}

    @named
    def picture(still: SeenStill, name: str) -> Markup:
        return Markup(svg.still(plates[still.uid], still.uid, still.step, name))

    return picture


def _schemes() -> str:
    """Both palettes as classes, so that the sheet of stills can show light and dark at once."""
    rules = []
    for scheme, place in (("light", 0), ("dark", 1)):
        colours = "".join(f"--{role}:{both[place]};" for role, both in PALETTE.items())
        rules.append(f".on-{scheme}{{{colours}}}")
    return "".join(rules)


# --- chapters, and the description that goes under a video

#: What common video sites take (value from memory).
LONGEST_DESCRIPTION = 5000


def chapters(cut: Cut) -> str:
    """One chapter a line: its time and its title."""
    return "".join(f"{clock(at)} {title}\n" for at, title in marks(cut))


def description(article: Article, cut: Cut) -> str:
    """What stands under the video: the answer, chapters, claims, sources and open questions."""
    blocks = [[article.title], [article.question], [article.answer]]
    if article.edition.line:
        blocks.append([article.edition.line])
    if article.corrections:
        told = [f"- {made.day}: {made.whole}" for made in article.corrections]
        blocks.append(["PUT RIGHT SINCE THE FIRST EDITION", *told])
    if article.disclaimer:
        blocks.insert(0, ["MADE-UP DATA. " + article.disclaimer.replace("on this page ", "")])
    if article.unconfirmed:
        blocks.insert(0, [article.unconfirmed])
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
