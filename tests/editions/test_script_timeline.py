"""The timeline, read back by the format's own library: to the frame, at every rate."""

from __future__ import annotations

import csv
import io
from fractions import Fraction
from itertools import pairwise
from pathlib import Path

import opentimelineio as otio
import pytest
from hypothesis import given, settings, strategies as st

from explainer.claims.judge import judge
from explainer.editions.compose import compose
from explainer.editions.script import compose_script, script_files
from explainer.editions.script_cuts import all_cuts, marks
from explainer.editions.script_stills import Still
from explainer.editions.script_timeline import OnTrack, cuts_csv, frame, timecode, timeline
from explainer.study.load import find_study, load_study
from explainer.words.script.talk import Line, Part, Screen, Shot, Talk

STUDY = Path(__file__).parents[2] / "studies" / "gauge-check"
#: As settings name a rate -> frames in a number of seconds.
RATES = {24: (24, 1), 25: (25, 1), 29.97: (30_000, 1_001), 30: (30, 1), 60: (60, 1)}
SAID = st.lists(st.integers(1, 40), min_size=1, max_size=12)


def read(text):
    return otio.adapters.read_from_string(text, "otio_json")


@pytest.fixture(scope="module")
def script():
    workspace, folder = find_study(str(STUDY), None)
    judgement = judge(load_study(folder, workspace))
    return compose_script(judgement, compose(judgement))


@pytest.mark.parametrize("rate", RATES)
def test_the_library_reads_it_and_lengths_add_up_to_the_frame(script, rate):
    frames, seconds = RATES[rate]
    for cut in script.cuts:
        made = read(timeline(cut, script.stills, "A study", rate))
        assert isinstance(made, otio.schema.Timeline)
        (track,) = made.video_tracks()
        assert made.duration().rate == pytest.approx(frames / seconds, abs=1e-12)
        total = sum(clip.duration().value for clip in track)
        # Times are whole thousandths: as such, so that half a frame is half a frame.
        whole = Fraction(round(cut.seconds * 1000), 1000)
        assert total == made.duration().value == round(whole * frames / seconds)
        at = 0
        for clip, scene in zip(track, cut.scenes, strict=True):
            starts = clip.range_in_parent().start_time
            begin = Fraction(round(scene.start * 1000), 1000)
            assert starts.value == at == round(begin * frames / seconds)
            at += clip.duration().value
            name = script.stills[scene.screen].name
            assert clip.media_reference.target_url == f"stills/{name}.png"
        assert otio.opentime.RationalTime(0, made.duration().rate).to_timecode()


def test_captions_chapters_and_builds_are_markers_where_they_belong(script):
    cut = script.cuts[-1]
    made = read(timeline(cut, script.stills, "A study", 25))
    by_kind = {}
    for marker in made.tracks.markers:
        by_kind.setdefault(marker.metadata["explainer"]["kind"], []).append(marker)
    cues = [cue for scene in cut.scenes for line in scene.said for cue in line.cues]
    assert [m.name for m in by_kind["caption"]] == [cue.text for cue in cues]
    found = [(m.marked_range.start_time.value, m.name) for m in by_kind["chapter"]]
    assert found == [(round(at * 25), title) for at, title in marks(cut)]
    ends = [m.marked_range.end_time_exclusive().value for m in by_kind["chapter"]]
    assert ends == [at for at, _ in found[1:]] + [made.duration().value]
    built = [s for s in cut.scenes if s.screen.step]
    assert [m.name for m in by_kind["build"]] == [script.stills[s.screen].name for s in built]


def test_the_table_says_the_same(script):
    for rate in RATES:
        cut = script.cuts[0]
        made = read(timeline(cut, script.stills, "A study", rate))
        rows = list(csv.DictReader(io.StringIO(cuts_csv(cut, script.stills, rate))))
        assert list(rows[0])[:3] == ["still", "in", "out"]
        (track,) = made.video_tracks()
        for row, clip in zip(rows, track, strict=True):
            where = clip.range_in_parent()
            assert row["still"] == clip.name
            assert int(row["in_frame"]) == where.start_time.value
            assert int(row["out_frame"]) == where.end_time_exclusive().value
            assert float(row["in"]) == pytest.approx(where.start_time.to_seconds(), abs=0.0006)
            counted = otio.opentime.from_timecode(row["timecode"], where.start_time.rate)
            assert counted.value == where.start_time.value
        assert [r["in"] for r in rows[1:]] == [r["out"] for r in rows[:-1]]


def test_every_length_has_its_files_and_every_still_is_there(script):
    workspace, _ = find_study(str(STUDY), None)
    files = script_files(script, workspace.template_folders)
    for cut in script.cuts:
        tail = "" if cut.target is None else f"-{cut.name}"
        made = read(files[f"script/timeline{tail}.otio"].decode("utf-8"))
        for clip in made.find_clips():
            assert f"script/{clip.media_reference.target_url}" in files
        assert files[f"script/cuts{tail}.csv"].startswith(b"still,in,out")


def test_a_track_above_has_gaps_and_keeps_the_length(script):
    cut = script.cuts[-1]
    films = [OnTrack("a", "builds/a.mp4", 30, 24, 24), OnTrack("b", "b.mp4", 90, 12, 24)]
    above = {"Builds": films}
    made = read(timeline(cut, script.stills, "A study", 24, above=above))
    stills, builds = made.video_tracks()
    assert [type(x).__name__ for x in builds] == ["Gap", "Clip", "Gap", "Clip"]
    assert [x.range_in_parent().start_time.value for x in builds.find_clips()] == [30, 90]
    assert builds[1].available_range().duration.value == 24
    assert made.duration() == stills.duration()


def test_frames_as_a_clock_without_dropped_numbers():
    assert timecode(0, 24) == "00:00:00:00"
    assert timecode(24 * 3661 + 5, 24) == "01:01:01:05"
    assert timecode(30, 29.97) == "00:00:01:00"
    assert frame(1001.0, 29.97) == 30_000


@given(SAID, st.sampled_from(list(RATES)), st.sampled_from((60, 147, 300)))
@settings(max_examples=60)
def test_whatever_is_said_the_frames_have_no_gap_and_no_overlap(lengths, rate, speed):
    lines = [Line("word " * n + "end.", 1) for n in lengths]
    shots = tuple(Shot(Screen("card:x", i), (line,)) for i, line in enumerate(lines))
    cut = all_cuts(Talk("T", (Part("x", "X", shots),)), speed)[-1]
    stills = {
        Screen("card:x", i): Still(i, f"{i:02d}", "k", None, i, "") for i in range(len(lengths))
    }
    rows = list(csv.DictReader(io.StringIO(cuts_csv(cut, stills, rate))))
    assert int(rows[0]["in_frame"]) == 0
    assert all(a["out_frame"] == b["in_frame"] for a, b in pairwise(rows))
    frames, seconds = RATES[rate]
    assert int(rows[-1]["out_frame"]) == round(Fraction(cut.seconds) * frames / seconds)
