"""The kit: every file opened by a reader that knows nothing of how it was written."""

from __future__ import annotations

import hashlib
import importlib.util
import re
import subprocess
import sys
from fractions import Fraction
from io import BytesIO
from pathlib import Path

import av
import numpy as np
import opentimelineio as otio
import pytest
import srt
from PIL import Image

from explainer.charts import overlays, stills
from explainer.charts.display_list import AXES, DATA, DisplayList, Text
from explainer.charts.overlays import BESIDE, SCREEN, TALL
from explainer.charts.stills import build
from explainer.charts.style import colour
from explainer.claims.judge import judge
from explainer.cli import main
from explainer.editions import kit as kits
from explainer.editions.compose import compose
from explainer.editions.film import opaque, transparent
from explainer.editions.script import compose_script, script_files
from explainer.editions.script_stills import all_stills
from explainer.publish.manifest import can_be_ours
from explainer.study.load import find_study, load_study
from explainer.words.say import say

STUDIES = Path(__file__).parents[2] / "studies"
STUDY = "ten-sleepers"


def composed(study):
    workspace, folder = find_study(str(STUDIES / study), None)
    judgement = judge(load_study(folder, workspace))
    return judgement, compose_script(judgement, compose(judgement))


@pytest.fixture(scope="module")
def script():
    return composed(STUDY)


@pytest.fixture(scope="module")
def files(script):
    """The whole kit of the example with the fewest pictures."""
    judgement, made = script
    return kits.kit_files(made, judgement)


@pytest.mark.seldom
def test_every_file_has_a_name_that_a_later_publish_may_remove(files):
    assert files
    assert [name for name in files if not can_be_ours(f"{STUDY}/{name}", {STUDY})] == []


def test_an_overlay_has_the_claim_large_and_what_it_is_small(script):
    judgement, made = script
    words = made.kit
    overlays_ = kits.lower_thirds(kits.Kit(made, words, judgement, say(judgement, "viewer")))
    for told in words.claims:
        claim, verdict = (overlays_[f"{what}-{told.id}"] for what in ("claim", "verdict"))
        assert claim.head == verdict.head == told.plainly
        assert claim.kicker == verdict.kicker and claim.kicker.endswith(told.kicker)
        assert (verdict.more, verdict.code) == (told.label, told.code)


def opened(data):
    return Image.open(BytesIO(data))


def decoded(data, pixels="rgb24"):
    """All pictures of a film, by FFmpeg's own decoder; VP9's alpha by libvpx's, which knows it."""
    with av.open(BytesIO(data)) as container:
        stream = container.streams.video[0]
        if stream.codec_context.name == "vp9":
            reader = av.codec.CodecContext.create("libvpx-vp9", "r")
            frames = [f for packet in container.demux(stream) for f in reader.decode(packet)]
        else:
            frames = list(container.decode(stream))
        return stream.codec_context.name, stream.average_rate, [
            f.to_ndarray(format=pixels) for f in frames
        ]


def of(files, pattern):
    found = {n: d for n, d in files.items() if re.fullmatch(f"script/{pattern}", n)}
    assert found, pattern
    return found


@pytest.mark.seldom
def test_every_picture_has_its_size_and_its_paper(files):
    sizes = {
        r"stills/dark/.*png": (1920, 1080), r"stills-tall/.*png": (1080, 1920),
        r"stills-beside/.*png": (1920, 1080), r"shorts/.*png": (1080, 1920),
        r"thumbnail.*png": (1280, 720), r"end-card.*png": (1920, 1080),
    }  # fmt: skip
    for pattern, size in sizes.items():
        for name, data in of(files, pattern).items():
            image = opened(data)
            image.load()
            assert image.size == size, name
            scheme = "dark" if "dark" in name else "light"
            paper = tuple(int(colour("paper", scheme)[i : i + 2], 16) for i in (1, 3, 5))
            assert image.convert("RGB").getpixel((2, 2)) == paper, name


def test_tall_and_wide_show_the_same_stills_and_each_in_light_and_dark(files, script):
    names = {still.name for still in script[1].shown}
    for folder in ("stills-tall", "stills-tall/dark", "stills-beside", "stills-beside/dark"):
        found = of(files, rf"{folder}/[^/]*\.png")
        assert {Path(name).stem for name in found} == names


@pytest.mark.parametrize("study", ["ten-sleepers", "strikes-and-oil"])
@pytest.mark.parametrize("layout", [TALL, BESIDE], ids=lambda layout: layout.name)
def test_words_stand_inside_the_margins_and_nothing_where_a_face_is(layout, study):
    judgement, script = composed(study)
    words = say(judgement, "viewer")
    safe, face = layout.safe.grown(0.6), layout.face
    for still in all_stills(script.talk, judgement, words, layout).values():
        assert still.plate.texts
        for mark in still.plate.upto(still.step):
            if isinstance(mark, Text):
                # A letter's tail may hang a little below its line.
                box = mark.box
                assert safe.left <= box.left and box.right <= safe.right, (still.name, mark.text)
                assert safe.top <= box.top and box.bottom <= safe.bottom + 4, mark.text
                assert not box.meets(face), (still.name, mark.text)


def test_overlays_are_transparent_but_for_their_band(files):
    found = of(files, r"overlays/(dark/)?[^/]*\.png")
    for name, data in found.items():
        image = opened(data).convert("RGBA")
        assert image.size == ((1080, 1920) if name.endswith("-tall.png") else (1920, 1080)), name
        alpha = np.asarray(image)[:, :, 3]
        assert alpha[:20].max() == alpha[-20:].max() == alpha[:, :20].max() == 0 or "guide" in name
        assert 0.001 < (alpha > 200).mean() < 0.3, name
        if "guide" not in name:
            left, _, right, lower = opened(data).convert("RGBA").getchannel("A").getbbox()
            assert left >= 0.049 * image.width and right <= 0.951 * image.width
            assert lower <= 0.951 * image.height


def test_there_is_an_overlay_for_each_claim_verdict_and_term(files, script):
    judgement, made = script
    for verdict in judgement.verdicts:
        for name in (f"claim-{verdict.claim.id}", f"verdict-{verdict.claim.id}"):
            assert f"script/overlays/{name}.png" in files
            assert f"script/overlays/dark/{name}-tall.png" in files
    assert made.kit.terms
    assert sum("/term-" in n for n in files) == 4 * len(made.kit.terms)


def test_a_build_ends_on_its_still_and_begins_near_the_one_before(files, script):
    """The film's own colors are coarser than a still's, so they may differ by a few of 255."""
    made = script[1]
    for name, (still, before) in list(kits.built(made).items())[::3]:
        codec, rate, frames = decoded(files[f"script/builds/{name}.mp4"])
        assert (codec, rate, len(frames)) == ("h264", 30, 24)
        assert frames[0].shape == (1080, 1920, 3)
        last = np.asarray(stills.pixels(still.plate, "light", still.step), dtype=int)
        first = np.asarray(stills.pixels(still.plate, "light", before), dtype=int)
        away = [float(np.abs(f.astype(int) - last).mean()) for f in (frames[0], frames[-1])]
        assert away[1] < 3.5, name
        near = np.abs(frames[0].astype(int) - first).mean()
        assert near < away[0] + 0.5 and away[0] > away[1], name
    assert set(of(files, r"builds/\d.*\.mp4")) == {
        f"script/builds/{name}.mp4" for name in kits.built(made)
    }


def test_a_verdict_lands_on_nothing_with_alpha(files, script):
    codes = {v.code for v in script[0].verdicts}
    found = of(files, r"builds/verdict-.*\.webm")
    assert set(found) == {f"script/builds/verdict-{code}.webm" for code in codes}
    for data in found.values():
        codec, rate, frames = decoded(data, "rgba")
        assert (codec, rate, len(frames)) == ("vp9", 30, 21)
        alpha = frames[-1][:, :, 3]
        assert alpha.shape == (1080, 1920)
        assert alpha[:200].max() < 8 and alpha.max() > 240
        assert (frames[-1][:, :, 3] > 200).sum() >= (frames[0][:, :, 3] > 200).sum() * 0.8


def test_timelines_at_every_rate_lead_to_files_that_are_there(files, script):
    workspace, _ = find_study(str(STUDIES / STUDY), None)
    there = {**files, **script_files(script[1], workspace.template_folders)}
    found = of(files, r"timelines/.*\.otio")
    assert len(found) == 5 * len(script[1].cuts)
    for name, text in found.items():
        made = otio.adapters.read_from_string(text.decode("utf-8"), "otio_json")
        tracks = {track.name: track for track in made.video_tracks()}
        assert {"Stills", "Terms", "Claims"} <= set(tracks)
        assert ("Builds" in tracks) == name.endswith("-30.otio")
        for clip in made.find_clips():
            path = "script/" + clip.media_reference.target_url.removeprefix("../")
            assert path in there, (name, path)
        lasts = {track.name: track.duration().value for track in tracks.values()}
        assert made.duration().value == lasts["Stills"] == max(lasts.values())


def test_each_short_clip_has_captions_a_timeline_and_pictures_of_its_own(files, script):
    for clip in script[1].clips:
        text = files[f"script/shorts/{clip.short.claim}.srt"].decode("utf-8")
        read = list(srt.parse(text, ignore_errors=False))
        said = " ".join(line.text for s in clip.cut.scenes for line in s.said)
        assert " ".join(c.content for c in read).split() == said.split()
        made = otio.adapters.read_from_string(
            files[f"script/shorts/{clip.short.claim}.otio"].decode("utf-8"), "otio_json"
        )
        assert made.duration().to_seconds() == pytest.approx(clip.seconds, abs=1 / 60)
        for part in made.find_clips():
            name = part.media_reference.target_url.removeprefix("./")
            assert f"script/shorts/{name}" in files


def test_the_same_bytes_again(script, files):
    judgement, made = script
    kit = kits.Kit(made, made.kit, judgement, say(judgement, "viewer"))
    name, (still, before) = next(iter(kits.built(made).items()))
    again = opaque(build(still.plate, before, still.step, 24), Fraction(30))
    assert hashlib.sha256(again).digest() == hashlib.sha256(
        files[f"script/builds/{name}.mp4"]
    ).digest()  # fmt: skip
    for name, data in kits._ends(kit):
        assert files[f"script/{name}"] == data


def test_a_build_draws_lines_from_their_beginning_and_only_adds():
    plate = DisplayList(SCREEN.width, SCREEN.height)
    plate.line([(40, 100), (440, 100)], "ink", 2.0, step=DATA)
    dark = [
        np.flatnonzero((f[400] < 90).all(axis=1)) for f in build(plate, AXES, DATA, 8, "light")
    ]
    ends = [int(d.max()) if len(d) else 0 for d in dark]
    assert ends == sorted(ends) and ends[0] < ends[-1]
    assert all(d.min() <= 170 for d in dark if len(d))
    assert ends[-1] == pytest.approx(440 * 4, abs=4)


def test_films_of_any_rate_keep_it():
    pictures = [np.full((180, 320, 3), 20 * n, dtype=np.uint8) for n in range(6)]
    for rate in (Fraction(24), Fraction(30_000, 1_001), Fraction(60)):
        codec, found, frames = decoded(opaque(iter(pictures), rate))
        assert (codec, found, len(frames)) == ("h264", rate, 6)
        levels = [int(f.mean()) for f in frames]
        assert levels == pytest.approx([20 * n for n in range(6)], abs=4)
    clear = [np.dstack([p, np.full(p.shape[:2], 40 * n, np.uint8)]) for n, p in enumerate(pictures)]
    _, _, frames = decoded(transparent(iter(clear), Fraction(25)), "rgba")
    assert [int(f[:, :, 3].mean()) for f in frames] == pytest.approx(
        [40 * n for n in range(6)], abs=6
    )


@pytest.mark.parametrize("study", ["cover-texture", "strikes-and-oil", STUDY])
def test_a_thumbnail_has_at_most_four_words_and_says_what_is_true(study):
    judgement, script = composed(study)
    words = " ".join(script.kit.thumbnail).split()
    assert len(words) <= 4
    numbers = [int(n) for n in re.findall(r"\d+", " ".join(words))]
    codes = [v.code for v in judgement.verdicts]
    assert numbers == [codes.count("backed"), len(codes)]
    invented = judgement.study.description.is_invented
    assert ("made-up data" in " ".join(words)) == invented
    plate = overlays.thumbnail(script.kit.thumbnail, codes, None)
    assert sum(len(t.text.split()) for t in plate.texts) == len(words)
    assert all(t.box.right <= plate.width - 8 for t in plate.texts)


def test_without_an_encoder_one_line_says_so_and_nothing_is_published(
    tmp_path, monkeypatch, capsys
):
    found = importlib.util.find_spec
    monkeypatch.setattr(
        "explainer.editions.film.find_spec", lambda name: None if name == "av" else found(name)
    )
    into = tmp_path / "site"
    with pytest.raises(SystemExit) as ended:
        main(["publish", str(STUDIES / STUDY), "--edition", "kit", "--into", str(into)])
    assert ended.value.code == 2
    said = capsys.readouterr().err
    assert len(said.splitlines()) == 1
    assert 'pip install "explainer[kit]"' in said
    assert not into.exists()


def test_without_the_kit_no_encoder_is_loaded_and_none_of_its_files_is_made(script):
    workspace, _ = find_study(str(STUDIES / STUDY), None)
    made = script_files(script[1], workspace.template_folders)
    kinds = {Path(name).suffix for name in made if "/stills/" not in name}
    assert kinds == {".html", ".md", ".txt", ".vtt", ".srt", ".otio", ".csv", ".yaml"}


#: A process of its own, since the most a process ever held is all that a system remembers.
LANDING = """
import resource, sys
from fractions import Fraction
from explainer.charts.overlays import landing
from explainer.editions.film import transparent

def most():
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024

pictures = lambda: landing("backed", "Backed by this data", "made up", 21, "light")
for picture in pictures():
    pass
before = most()
assert transparent(pictures(), Fraction(30))
print(most() - before)
"""


@pytest.mark.slow
@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="kilobytes are Linux's")
def test_a_film_holds_few_pictures_at_once():
    """Megabytes over the pictures one by one: an encoder that looks ahead held 560 of them."""
    ran = subprocess.run([sys.executable, "-c", LANDING], capture_output=True, text=True,
                         check=True)  # fmt: skip
    assert float(ran.stdout) < 220
