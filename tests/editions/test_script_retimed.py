"""A script on the clock of a real recording: by marks, by pauses, and where neither fits."""

from __future__ import annotations

import csv
import io
import math
import shutil
import struct
import wave
from itertools import pairwise
from pathlib import Path

import numpy as np
import opentimelineio as otio
import pytest
import srt

from explainer.claims.judge import judge
from explainer.editions import script_retimed
from explainer.editions.compose import compose
from explainer.editions.script import compose_script, script_files
from explainer.editions.script_retimed import retimed
from explainer.editions.script_timeline import timed
from explainer.errors import StudyError
from explainer.publish.build import build_study
from explainer.study.load import find_study, load_study
from explainer.study.recording import Mark, Recorded, pauses, seconds_of

STUDY = Path(__file__).parents[2] / "studies" / "gauge-check"


@pytest.fixture(scope="module")
def script():
    workspace, folder = find_study(str(STUDY), None)
    judgement = judge(load_study(folder, workspace))
    return compose_script(judgement, compose(judgement))


def warped(at):
    """A voice that begins after three seconds, a tenth slower at first and quicker later."""
    return 3.0 + at * 1.1 if at < 60 else 3.0 + 66 + (at - 60) * 0.92


def sentence_ends(cut):
    """Where sentences end, found here from the words alone."""
    return [
        at + cue.seconds
        for scene in cut.scenes for line in scene.said
        for at, cue in zip(_starts(line), line.cues, strict=True)
        if cue.text.rstrip("”\"’)").endswith((".", "!", "?"))
    ]  # fmt: skip


def _starts(line):
    at = line.start
    for cue in line.cues:
        yield at
        at += cue.seconds


def marked(script, cut, every=1):
    scenes = list(cut.scenes)[::every]
    return tuple(
        Mark(row, warped(scene.start), script.stills[scene.screen].name)
        for row, scene in enumerate(scenes, start=2)
    )


def test_marks_move_captions_chapters_and_timeline(script):
    cut = script.cuts[0]
    lasts = warped(cut.seconds)
    recorded = Recorded("recording.csv", cut.name, marked(script, cut), lasts=lasts)
    made = retimed(script.cuts, script.stills, recorded)
    assert made.problems == ()
    for old, new in zip(cut.scenes, made.cut.scenes, strict=True):
        assert new.start == pytest.approx(warped(old.start), abs=0.002)
        assert [n.text for n in new.said] == [n.text for n in old.said]
    last = list(made.cut.scenes)[-1]
    assert last.start + last.seconds == pytest.approx(lasts, abs=0.01)
    spans = [(a, b) for a, b, _ in timed(made.cut)]
    assert all(b[0] >= a[1] - 1e-9 and a[1] - a[0] <= 7 for a, b in pairwise(spans))
    # Between two marks the voice is taken to be even: a change of pace in the middle of a scene is
    # missed by at most a quarter of the scene times the change.
    bent = (1.1 - 0.92) / 4 * max(scene.seconds for scene in cut.scenes) + 0.05
    for (a, _, cue), (b, _, same) in zip(timed(cut), timed(made.cut), strict=True):
        assert cue.lines == same.lines
        assert b == pytest.approx(warped(a), abs=bent)


def test_words_are_marks_as_well_and_few_marks_are_enough(script):
    cut = script.cuts[0]
    lines = [line for scene in cut.scenes for line in scene.said]
    chosen = [lines[0], lines[len(lines) // 2]]
    marks = tuple(
        Mark(n, warped(line.start), says=" ".join(line.text.split()[:5]).upper())
        for n, line in enumerate(chosen, start=2)
    )
    recorded = Recorded("r.csv", cut.name, marks, lasts=warped(cut.seconds))
    made = retimed(script.cuts, script.stills, recorded)
    assert made.problems == ()
    moved = [line for scene in made.cut.scenes for line in scene.said]
    assert moved[len(lines) // 2].start == pytest.approx(warped(chosen[1].start), abs=0.002)


def test_without_an_end_the_pace_so_far_goes_on(script):
    cut = script.cuts[0]
    marks = tuple(Mark(n, scene.start * 1.2, script.stills[scene.screen].name)
                  for n, scene in enumerate(list(cut.scenes)[:4], start=2))  # fmt: skip
    made = retimed(script.cuts, script.stills, Recorded("r.csv", cut.name, marks))
    assert made.cut.seconds == pytest.approx(cut.seconds * 1.2, rel=0.001)


def test_time_that_was_spoken_freely_leaves_captions_at_their_pace(script):
    cut = script.cuts[0]
    scenes = list(cut.scenes)
    n = next(i for i, s in enumerate(scenes[:-1]) if s.seconds > 8)
    free = scenes[n].seconds * 2.5
    marks = [Mark(2, scenes[n].start, script.stills[scenes[n].screen].name)]
    marks += [Mark(3, scenes[n + 1].start + free, script.stills[scenes[n + 1].screen].name)]
    recorded = Recorded("r.csv", cut.name, tuple(marks), lasts=cut.seconds + free)
    made = retimed(script.cuts, script.stills, recorded)
    assert made.problems == ()
    words = [c for line in scenes[n].said for c in line.cues][:-1]
    moved = [c for line in list(made.cut.scenes)[n].said for c in line.cues][:-1]
    planned = sum(c.seconds for c in words)
    assert sum(c.seconds for c in moved) == pytest.approx(1.25 * planned, rel=0.01)
    assert list(made.cut.scenes)[n + 1].start == pytest.approx(scenes[n + 1].start + free, abs=0.01)


def test_pauses_of_a_voice_move_captions_with_it(script):
    """Pauses at the ends of sentences, some of them missing, and others where someone breathes."""
    cut = script.cuts[0]
    rng = np.random.default_rng(5)
    lasts = warped(cut.seconds) + 2
    ends = sentence_ends(cut)
    found = [(0.0, 3.0)]
    found += [(warped(e) - 0.2, warped(e) + 0.2) for n, e in enumerate(ends[:-1]) if n % 6 != 4]
    for _ in range(12):
        at = rng.uniform(4, lasts - 4)
        if all(abs(at - (a + b) / 2) > 0.9 for a, b in found):
            found.append((at - 0.1, at + 0.1))
    found.append((lasts - 2, lasts))
    recorded = Recorded("p.csv", cut.name, pauses=tuple(sorted(found)), lasts=lasts)
    made = retimed(script.cuts, script.stills, recorded)
    assert made.cut is not cut  # a caption beside a pause that was missed may be hurried
    assert all("characters a second" in str(problem) for problem in made.problems)
    away = [abs(new - warped(old)) for old, new in zip(ends, sentence_ends(made.cut), strict=True)]
    assert sorted(away)[int(0.9 * len(away))] < 0.5
    assert max(away) < 2


WRONG = {
    "a still that is not there": (
        lambda s, cut: Recorded("r.csv", cut.name, (Mark(2, 1.0, "99-nothing"),)),
        "r.csv: row 2: warning: found the still 99-nothing",
    ),
    "another order": (
        lambda s, cut: Recorded("r.csv", cut.name, marked(s, cut)[:1] + tuple(
            Mark(9, 400.0 + n, s.stills[scene.screen].name)
            for n, scene in enumerate(list(cut.scenes)[3:0:-1]))),
        "r.csv: row 9: warning: found",
    ),
    "too fast": (
        lambda s, cut: Recorded("r.csv", cut.name, marked(s, cut)[:1], lasts=9.0),
        "0.5 to 4 times as long",
    ),
    "too slow": (
        lambda s, cut: Recorded("r.csv", cut.name, marked(s, cut)[:1], lasts=cut.seconds * 9),
        "0.5 to 4 times as long",
    ),
    "a voice of another length": (
        lambda s, cut: Recorded("r.csv", cut.name, pauses=((0.0, 1.0), (9.0, 9.5)), lasts=11.0),
        "a reading of the length",
    ),
    "pauses elsewhere": (
        lambda s, cut: Recorded("r.csv", cut.name, pauses=((50.0, 50.5),), lasts=cut.seconds),
        "sentences, expected a reading",
    ),
    "a pause alone, which must be where it ends": (
        lambda s, cut: Recorded("r.csv", cut.name, pauses=((1.0, 2.0),)),
        "found no pause but one at the end",
    ),
    "a length that the script has not": (
        lambda s, cut: Recorded("r.csv", "8-minutes", marked(s, cut)),
        "found a recording of the length 8-minutes, expected one of",
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", WRONG)
def test_what_does_not_fit_is_said_in_one_line_and_nothing_is_stretched(script, name):
    make, said = WRONG[name]
    cut = script.cuts[0]
    lengths = tuple(c for c in script.cuts if c.name != "8-minutes")
    made = retimed(lengths, script.stills, make(script, cut))
    assert made.cut in lengths
    [problem] = made.problems
    assert said in str(problem) and "keep the clock of the speaking rate" in str(problem)
    assert "\n" not in str(problem) and problem.severity == "warning"


def test_what_is_told_apart_grows_with_the_sentences_alone(monkeypatch):
    """Not with pauses times sentences, and the middles of the pauses are found all the same."""
    looked = []
    near = script_retimed._near

    def counted(*given):
        looked.append(near(*given))
        return looked[-1]

    monkeypatch.setattr(script_retimed, "_near", counted)
    ends = [0.0, *(2.0 * n + 0.4 * (n % 3) for n in range(1, 2001))]
    said = [1.05 * at + 4 * math.sin(at / 900) for at in ends]
    between = [(at - 1.0, at - 0.8) for at in said[1:]]
    pauses_ = sorted([*between, *((at - 0.2, at + 0.2) for at in said[1:-1])])
    made = script_retimed._aligned(ends, 0.0, pauses_, said[-1])
    assert max(high - low for low, high in looked) <= script_retimed.NEAREST < len(pauses_) / 4
    assert len(made) == len(ends)
    for (planned, spoken), end, at in zip(made, ends, said, strict=True):
        assert planned == end
        assert spoken == pytest.approx(at, abs=1e-6)


def test_a_voice_faster_than_captions_can_be_read_is_named(script):
    cut = script.cuts[0]
    recorded = Recorded("r.csv", cut.name, marked(script, cut)[:1], lasts=cut.seconds * 0.6 + 3)
    made = retimed(script.cuts, script.stills, recorded)
    assert made.cut.seconds < 0.65 * cut.seconds
    assert "more than 20 characters a second" in str(made.problems[0])


def test_times_as_people_write_them():
    assert [seconds_of(t) for t in ("62.5", "1:02.5", " 0:01:02,5 ", "1:00:00")] == [
        62.5, 62.5, 62.5, 3600.0,
    ]  # fmt: skip
    assert seconds_of("62.19999999999999") == pytest.approx(62.2)
    wrong = ("", "soon", "-3", "1e3", "99:00:00", "1::2", "1:99", "0:75:00")
    assert [seconds_of(t) for t in wrong] == [None] * len(wrong)


def test_pauses_of_a_sound_are_found_to_a_hundredth_of_a_second():
    rate = 16_000
    t = np.arange(6 * rate) / rate
    voice = 9_000 * np.sin(2 * math.pi * 180 * t) * (1 + 0.3 * np.sin(2 * math.pi * 3 * t))
    rng = np.random.default_rng(1)
    sound = voice + rng.normal(0, 20, len(t))
    quiet = [(0.0, 0.6), (2.2, 2.7), (4.0, 4.3)]
    for a, b in quiet:
        sound[int(a * rate) : int(b * rate)] = rng.normal(0, 20, int(b * rate) - int(a * rate))
    found = pauses(sound, rate)
    assert np.array(found) == pytest.approx(np.array(quiet), abs=0.03)
    assert pauses(voice, rate) is None


# --- through the whole house, from files


def folder_with(tmp_path, described, **files):
    folder = tmp_path / "studies" / "gauge-check"
    shutil.copytree(STUDY, folder)
    text = (folder / "study.yaml").read_text("utf-8")
    (folder / "study.yaml").write_text(f"{text}\nrecording: {described}\n", encoding="utf-8")
    for name, content in files.items():
        place = folder / name.replace("_", ".")
        place.write_bytes(content if isinstance(content, bytes) else content.encode("utf-8"))
    return folder


def studied(folder):
    workspace, folder = find_study(str(folder), None)
    return load_study(folder, workspace)


@pytest.mark.seldom
def test_the_scripts_own_cuts_file_with_other_times_is_a_file_of_marks(script, tmp_path):
    workspace, _ = find_study(str(STUDY), None)
    plain = script_files(script, workspace.template_folders)
    rows = list(csv.DictReader(io.StringIO(plain["script/cuts.csv"].decode("utf-8"))))
    for row in rows:
        at = warped(float(row["in"]))
        row["in"] = f"{int(at // 60)}:{at % 60:06.3f}"
    out = io.StringIO(newline="")
    writer = csv.DictWriter(out, rows[0].keys())
    writer.writeheader()
    writer.writerows(rows)
    lasts = warped(script.cuts[-1].seconds)
    folder = folder_with(
        tmp_path, f"{{marks: recording.csv, lasts: {lasts:.3f}}}", recording_csv=out.getvalue()
    )
    study = studied(folder)
    built = build_study(study, ["script"])
    assert not [w for w in built.warnings if w.code == "recording"]
    assert "recording.csv" in study.sha256 and "recording.csv" not in study.data_sha256
    read = list(srt.parse(built.files["script/captions.srt"].decode("utf-8")))
    before = list(srt.parse(plain["script/captions.srt"].decode("utf-8")))
    assert [c.content for c in read] == [c.content for c in before]
    for old, new in zip(before, read, strict=True):
        assert new.start.total_seconds() == pytest.approx(
            warped(old.start.total_seconds()), abs=1.5
        )
    made = otio.adapters.read_from_string(
        built.files["script/timeline.otio"].decode("utf-8"), "otio_json"
    )
    assert made.duration().to_seconds() == pytest.approx(lasts, abs=0.05)
    chapters = built.files["script/chapters.txt"].decode("utf-8")
    assert chapters.startswith("0:00 ")
    assert chapters != plain["script/chapters.txt"].decode("utf-8")


def test_a_sound_is_read_and_what_does_not_fit_is_a_warning_of_the_publishing(tmp_path):
    rate = 8_000
    sound = (8_000 * np.sin(np.arange(9 * rate) / 9)).astype("<i2")
    sound[3 * rate : 4 * rate] = 0
    stream = io.BytesIO()
    with wave.open(stream, "wb") as out:
        out.setnchannels(1)
        out.setsampwidth(2)
        out.setframerate(rate)
        out.writeframes(sound.tobytes())
    folder = folder_with(
        tmp_path, "{silences: talk.wav, length: 2-minutes}", talk_wav=stream.getvalue()
    )
    study = studied(folder)
    assert study.recording.lasts == pytest.approx(9)
    assert study.recording.pauses == (pytest.approx((3, 4), abs=0.03),)
    built = build_study(study, ["script"])
    [said] = [str(w) for w in built.warnings if w.code == "recording"]
    assert said.startswith("talk.wav: row 1: warning: found a voice of 0:09, expected a reading")


def test_the_longer_head_of_a_sound_of_24_bits_is_read(tmp_path):
    """As written out in RFC 2361 and Microsoft's description of the head, from memory."""
    rate = 8_000
    sound = (8_000 * np.sin(np.arange(3 * rate) / 9)).astype("<i4") << 8
    sound[rate : 2 * rate] = 0
    samples = sound.view("<u1").reshape(-1, 4)[:, :3].tobytes()
    tagged = struct.pack("<HHIIHH", 0xFFFE, 1, rate, 3 * rate, 3, 24)
    longer = struct.pack("<HHI", 22, 24, 4) + bytes.fromhex("0100000000001000800000aa00389b71")
    parts = b"".join(name + struct.pack("<I", len(part)) + part
                     for name, part in ((b"fmt ", tagged + longer), (b"data", samples)))
    data = b"RIFF" + struct.pack("<I", 4 + len(parts)) + b"WAVE" + parts
    described = "{silences: talk.wav, length: 2-minutes}"
    study = studied(folder_with(tmp_path, described, talk_wav=data))
    assert study.recording.lasts == pytest.approx(3)
    assert study.recording.pauses == (pytest.approx((1, 2), abs=0.03),)


BROKEN = {
    "{marks: recording.csv, silences: recording.csv}": ("", "both `marks` and `silences`"),
    "{length: full}": ("", "neither `marks` nor `silences`"),
    "{marks: ../other.csv}": ("", "the path `../other.csv`"),
    "{marks: nothing.csv}": ("", "no file `nothing.csv`"),
    "{marks: recording.csv}": ("still,at\n01,0\n", "row 1: found the columns still, at, expected"),
    "{marks: recording.csv, length: full}": (
        "still,in\n01,soon\n", "row 2, column in: found soon, expected seconds, or minutes:seconds"
    ),
    "{marks: recording.csv, lasts: 9}": (
        "still,in\n01,5\n02,4\n", "row 3, column in: found 4, expected a time after the one above"
    ),
    "{marks: recording.csv, lasts: 8}": (
        "still,in\n01,0\n02," + "5" * 140_000,
        "row 3: found a cell of more than 131,072 characters, expected at most 131,072",
    ),
    "{silences: recording.csv}": ("from,to\n3,2\n", "row 2: found 3 to 2, expected a pause"),
    "{silences: recording.csv, lasts: 9}": ("RIFF, no sound", "a sound that cannot be read"),
    "{silences: recording.csv, lasts: 6}": (b"RIFF", "cannot be read (it ends too soon)"),
    "{silences: recording.csv, lasts: 7}": (  # a part longer than the file that it stands in
        b"RIFF\xff\x00\x00\x00WAVEfmt \x10\x00\x00\x00\x01\x00\x01\x00@\x1f\x00\x00@\x1f\x00\x00"
        b"\x02\x00\x10\x00LIST\xff\xff\xff\x7f", "a sound that cannot be read",
    ),
}  # fmt: skip


@pytest.mark.parametrize(("described", "told"), [("marks: n", False), ("silences: n", True)])
def test_a_mark_is_given_no_advice_about_sound(described, told, tmp_path):
    with pytest.raises(StudyError) as caught:
        studied(folder_with(tmp_path, f"{{{described}}}"))
    assert ("samples a second" in str(caught.value.problems[0])) == told


@pytest.mark.parametrize("content", [b"", b"RF64\xff\xff\xff\xffWAVE", b"\xff\xfe"])
def test_a_sound_that_is_none_is_not_told_of_as_a_table(content, tmp_path):
    with pytest.raises(StudyError) as caught:
        studied(folder_with(tmp_path, "{silences: talk.wav}", talk_wav=content))
    [problem] = caught.value.problems
    assert "a sound that cannot be read" in str(problem)


@pytest.mark.parametrize("described", BROKEN)
def test_what_is_wrong_with_the_file_is_said_with_its_place(described, tmp_path):
    content, said = BROKEN[described]
    folder = folder_with(tmp_path, described, recording_csv=content)
    with pytest.raises(StudyError) as caught:
        studied(folder)
    [problem] = caught.value.problems
    assert said in str(problem) and "\n" not in str(problem)
    assert problem.file == "recording.csv" or problem.line > 1
