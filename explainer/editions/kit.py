"""The kit: everything else that an editor opens, made only when asked for.

Beside a script's own files: pictures laid out tall and with a place for a face, in light and dark;
overlays on nothing; builds as films; thumbnail and end card; timelines at every frame rate; and
each claim as a short vertical clip.
"""

from __future__ import annotations

import gc
import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace

from explainer.charts import overlays, stills
from explainer.charts.display_list import AXES
from explainer.charts.kinds import draw
from explainer.charts.overlays import BESIDE, SCREEN, TALL, Layout, LowerThird
from explainer.charts.stills import build
from explainer.charts.style import Canvas, Scheme
from explainer.claims.verdict import Judgement
from explainer.editions.film import opaque, transparent
from explainer.editions.script import FOLDER, Script
from explainer.editions.script_cuts import Cut
from explainer.editions.script_stills import Still, all_stills, pngs
from explainer.editions.script_timeline import (
    RATES,
    OnFrames,
    OnTrack,
    frame,
    shown,
    subrip,
    timeline,
)
from explainer.words.said import StudyWords
from explainer.words.say import say
from explainer.words.script.kit import KitWords
from explainer.words.script.talk import Part, Screen, Shot, Talk

SCHEMES: tuple[Scheme, ...] = ("light", "dark")
BUILD, LANDING = 0.8, 0.7
"""Seconds that a build and the landing of a verdict take."""
STANDS = 4.0
"""Most seconds that an overlay stands, in the timelines."""
#: The figure of a thumbnail: its words are left out.
THUMBNAIL_SHEET = Canvas("thumbnail", 330, 350, 4, 5)


@dataclass(frozen=True)
class Kit:
    """What the files of a kit are made from."""

    script: Script
    words: KitWords
    judgement: Judgement
    said: StudyWords

    @property
    def rate(self) -> float:
        return self.script.frame_rate


def kit_files(script: Script, judgement: Judgement) -> dict[str, bytes]:
    """``script/…``: the kit's files by path; the same study gives the same bytes.

    A film encoder must be there (``film.need_encoder``).
    """
    assert script.kit is not None
    words = say(judgement, judgement.study.workspace.settings.audience)
    kit = Kit(script, script.kit, judgement, words)
    made: dict[str, bytes] = {}
    for make in PARTS.values():
        made |= {f"{FOLDER}/{name}": data for name, data in make(kit)}
        gc.collect()  # figures and encoders hang in circles, which publishing seldom looks for
    return made


Files = Iterator[tuple[str, bytes]]


def _pictures(kit: Kit) -> Files:
    """The stills: tall, with a place for a face, and the wide ones in dark."""
    if "dark" not in kit.script.schemes:
        yield from _laid(SCREEN, kit.script.shown, ("dark",))
    for layout in (TALL, BESIDE):
        found = all_stills(kit.script.talk, kit.judgement, kit.said, layout)
        yield from _laid(layout, _each(found), SCHEMES)


def _each(found: Mapping[Screen, Still]) -> list[Still]:
    return list({still.number: still for still in found.values()}.values())


def _laid(layout: Layout, made: Iterable[Still], schemes: Iterable[Scheme]) -> Files:
    made = list(made)
    for scheme in schemes:
        for name, data in pngs(made, scheme, layout).items():
            yield f"{_folder(layout.name, scheme)}/{name}.png", data


def _folder(name: str, scheme: Scheme) -> str:
    return f"{name}/dark" if scheme == "dark" else name


def lower_thirds(kit: Kit) -> dict[str, LowerThird]:
    """Every overlay with words, by the name of its file."""
    words = kit.words
    head = f"{words.notice[:1].upper()}{words.notice[1:]} · " if words.notice else ""
    found = {
        f"term-{_slug(term)}": LowerThird(f"{head}{words.term}", term, plainly)
        for term, plainly in words.terms
    }
    for told in words.claims:
        found[f"claim-{told.id}"] = LowerThird(f"{head}{told.kicker}", told.plainly)
        found[f"verdict-{told.id}"] = LowerThird(
            f"{head}{told.kicker}", told.plainly, told.label, told.code
        )
    for number, (day, what) in enumerate(words.corrections, start=1):
        found[f"correction-{number}"] = LowerThird(f"{head}{day}", "Put right", what)
    return found


def _overlays(kit: Kit) -> Files:
    thirds = lower_thirds(kit)
    for scheme in SCHEMES:
        for layout in (SCREEN, TALL):
            tail = "-tall" if layout is TALL else ""
            for name, said in thirds.items():
                plate = overlays.lower_third(said, layout)
                data = overlays.transparent_png(plate, scheme, layout.scale)
                yield f"{_folder('overlays', scheme)}/{name}{tail}.png", data
    for layout in (BESIDE, TALL):
        drawn = overlays.guide(layout)
        name = "tall" if layout is TALL else "beside"
        yield f"overlays/guide-{name}.png", overlays.transparent_png(drawn, "light", layout.scale)


def _ends(kit: Kit) -> Files:
    """The thumbnail and the end card, in light and dark."""
    article, words = kit.script.article, kit.words
    address = re.sub(r"^https?://", "", article.base_address)
    address = f"{address}/{article.id}" if address else ""
    result = next(iter(kit.judgement.figures), None)
    drawn = None
    if result is not None:
        drawn = draw(result, kit.said.figures[result.figure.id], THUMBNAIL_SHEET)
    codes = [told.code for told in words.claims]
    plates = {
        "thumbnail": overlays.thumbnail(words.thumbnail, codes, drawn),
        "end-card": overlays.end_card(article.title, words.end, address, words.notice),
    }
    for name, plate in plates.items():
        for scheme in SCHEMES:
            tail = "-dark" if scheme == "dark" else ""
            yield f"{name}{tail}.png", stills.small_pngs(plate, scheme, (AXES,))[AXES]


def built(script: Script) -> dict[str, tuple[Still, int]]:
    """Each still that builds on another: itself and the step it builds on, by its name."""
    found = {}
    for still in script.shown:
        before = [s.step for s in script.shown if s.uid == still.uid and s.step < still.step]
        if before or still.step > AXES:
            lower = max(before, default=max(s for s in still.plate.steps if s < still.step))
            found[still.name] = (still, lower)
    return found


def _builds(kit: Kit) -> Files:
    """A film for each still that builds on another, and for each verdict that is given."""
    rate = RATES[kit.rate]
    for scheme in kit.script.schemes:
        folder = _folder("builds", scheme)
        for name, (still, before) in built(kit.script).items():
            pictures = build(still.plate, before, still.step, frame(BUILD, kit.rate), scheme)
            yield f"{folder}/{name}.mp4", opaque(pictures, rate)
        for code, label in {told.code: told.label for told in kit.words.claims}.items():
            frames = frame(LANDING, kit.rate)
            pictures = overlays.landing(code, label, kit.words.notice, frames, scheme)
            yield f"{folder}/verdict-{code}.webm", transparent(pictures, rate)


def _timelines(kit: Kit) -> Files:
    """Every length at every frame rate, with builds and overlays on tracks of their own.

    The builds are films at the workspace's rate: they stand where the rate is the same.
    """
    for cut in map(kit.script.on_clock, kit.script.cuts):
        for rate in RATES:
            above = {"Terms": _term_track(kit, cut, rate), "Claims": _claim_track(kit, cut, rate)}
            if rate == kit.rate:
                above = {"Builds": _build_track(kit, cut, rate)} | above
            title = f"{kit.script.article.title} ({cut.label})"
            text = timeline(cut, kit.script.stills, title, rate, "../stills", above)
            yield f"timelines/{cut.name}-{rate:g}.otio", text.encode("utf-8")


def _build_track(kit: Kit, cut: Cut, rate: float) -> list[OnTrack]:
    films, lasts = built(kit.script), frame(BUILD, rate)
    return [
        OnTrack(s.still.name, f"../builds/{s.still.name}.mp4", s.first,
               min(lasts, s.end - s.first), lasts)
        for s in shown(cut, kit.script.stills, rate)
        if s.still.name in films
    ]  # fmt: skip


def _term_track(kit: Kit, cut: Cut, rate: float) -> list[OnTrack]:
    """Each term over the first scene that says it."""
    waiting = {term: f"term-{_slug(term)}" for term, _ in kit.words.terms}
    found = []
    for s in shown(cut, kit.script.stills, rate):
        said = " ".join(line.text for line in s.scene.said).lower()
        for term, name in waiting.items():
            if re.search(rf"\b{re.escape(term.lower())}", said):
                found.append(_over(s, name, rate))
                del waiting[term]
                break
    return found


def _claim_track(kit: Kit, cut: Cut, rate: float) -> list[OnTrack]:
    """A claim's verdict over the last scene of the figure that shows it, the claim over the
    first."""
    shows = {r.figure.id: r.claims[0] for r in kit.judgement.figures if r.claims}
    scenes = list(shown(cut, kit.script.stills, rate))
    found = []
    for number, s in enumerate(scenes):
        if s.part not in shows:
            continue
        first = number == 0 or scenes[number - 1].part != s.part
        last = number == len(scenes) - 1 or scenes[number + 1].part != s.part
        if last:
            found.append(_over(s, f"verdict-{shows[s.part]}", rate))
        elif first:
            found.append(_over(s, f"claim-{shows[s.part]}", rate))
    return found


def _over(s: OnFrames, name: str, rate: float) -> OnTrack:
    frames = min(frame(STANDS, rate), s.end - s.first)
    return OnTrack(name, f"../overlays/{name}.png", s.first, frames)


def _clips(kit: Kit) -> Files:
    """Each short clip: its tall pictures, captions and timeline."""
    clips = kit.script.clips
    cards = {f"short-{clip.short.claim}": clip.short.card for clip in clips}
    parts = [
        Part(c.short.claim, "", tuple(Shot(s.screen, ()) for s in c.cut.scenes)) for c in clips
    ]
    talk = Talk(kit.script.talk.title, tuple(parts), cards, kit.script.talk.made_up)
    found = all_stills(talk, kit.judgement, kit.said, TALL)
    yield from _laid(replace(TALL, name="shorts"), _each(found), SCHEMES)
    for clip in clips:
        id = clip.short.claim
        title = clip.short.card.title
        yield f"shorts/{id}.srt", subrip(clip.cut).encode("utf-8")
        text = timeline(clip.cut, found, title, kit.rate, ".")
        yield f"shorts/{id}.otio", text.encode("utf-8")


#: The parts of a kit, each made by one function.
PARTS: Mapping[str, Callable[[Kit], Files]] = {
    "stills": _pictures,
    "overlays": _overlays,
    "thumbnail and end card": _ends,
    "films": _builds,
    "timelines": _timelines,
    "short clips": _clips,
}


def _slug(text: str) -> str:
    return re.sub(r"[^a-z0-9]+", "-", text.lower()).strip("-") or "word"
