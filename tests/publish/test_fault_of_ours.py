"""A fault of ours in one study: one line, the others are published, its last good pages stand."""

from __future__ import annotations

import pickle
import signal
import subprocess
import sys

import pytest

from explainer.errors import OurFault, WorkspaceError
from explainer.publish import workers
from explainer.publish.site import publish
from explainer.study.load import open_workspace

from .test_failures import litter
from .test_people_named_to_all import BALLS, ROWS, SETTINGS, state, two_studies

#: A workspace's studies published by the command, where judging those called so fails.
FAULTY = """\
import sys
from explainer.publish import build
whole = build.build_study
def broken(study, *rest):
    if study.id == "first":
        raise RuntimeError("x\\ny")
    return whole(study, *rest)
build.build_study = broken
from explainer.cli import main
main(sys.argv[1:])
"""


def failing(quickly):
    """As ``quickly``, but for the study called first."""

    def build(folder, workspace):
        if folder.name == "first":
            raise RuntimeError("x\ny")
        return quickly(folder, workspace)

    return build


def test_the_others_are_published_and_its_last_good_pages_stand(
    workspace, folders, quickly, target
):
    publish(workspace, folders, target, build=quickly)
    before = state(target / "first")
    outcome = publish(workspace, folders, target, build=failing(quickly))
    assert list(outcome.failed) == ["first"] and outcome.kept == ["first"]
    assert set(outcome.published) == folders.keys() - {"first"}
    after = state(target / "first")
    assert after[target / "first" / "index.html"] == before[target / "first" / "index.html"]
    own = {path: data for path, data in before.items() if path.parent.name == "data"}
    assert own and own.items() <= after.items()
    assert litter(target) == []
    fault = outcome.failed["first"]
    assert isinstance(fault, OurFault) and fault.exit_status == 1
    [line] = str(fault).splitlines()
    assert "a fault of explainer, not of your files (RuntimeError: x\\ny)" in line
    assert "Traceback" not in line and "Traceback" in fault.trace
    sent = pickle.loads(pickle.dumps(fault))  # as a worker sends it
    assert (sent.problems, sent.trace) == (fault.problems, fault.trace)


@pytest.mark.parametrize("fault", [MemoryError(), RuntimeError("can't start new thread"),
                                   OSError(28, "No space left on device")])  # fmt: skip
def test_what_the_system_refuses_is_no_matter_of_one_study(
    workspace, folders, quickly, target, fault
):
    publish(workspace, folders, target, build=quickly)
    before = state(target)

    def build(folder, workspace):
        raise fault

    with pytest.raises(type(fault)):
        publish(workspace, folders, target, build=build)
    assert state(target) == before


def test_a_request_to_end_that_a_library_made_a_fault_of_ends_the_publish(
    workspace, folders, quickly, target, monkeypatch
):
    monkeypatch.setattr(workers.signal, "getsignal", lambda number: signal.SIG_IGN)
    with pytest.raises(RuntimeError):
        publish(workspace, folders, target, build=failing(quickly))
    assert not target.exists()


def test_whom_it_did_not_get_to_may_not_be_named_to_all(tmp_path):
    folders = two_studies(tmp_path)
    (tmp_path / "studies" / "settings.yaml").write_text(SETTINGS, "utf-8")

    def build(folder, workspace):
        if folder.name == "season":
            raise RuntimeError("before its people were looked at")
        return workers.from_folder(folder, workspace)

    with pytest.raises(WorkspaceError, match="Brightwater"):
        publish(open_workspace(tmp_path), folders, tmp_path / "site", build=build)
    assert not (tmp_path / "site").exists()


def test_the_command_says_one_line_and_where_only_if_asked(tmp_path):
    for name in ("first", "second"):
        balls = tmp_path / "studies" / name
        balls.mkdir(parents=True)
        (balls / "study.yaml").write_text(BALLS, "utf-8")
        (balls / "balls.csv").write_text(ROWS, "utf-8")

    def ran(*before: str) -> subprocess.CompletedProcess[str]:
        return subprocess.run(
            [sys.executable, "-c", FAULTY, *before, "publish", "-q", "--workers", "1"],
            cwd=tmp_path, capture_output=True, text=True, check=False,
        )  # fmt: skip

    quiet = ran()
    assert quiet.returncode == 1
    [line] = quiet.stderr.splitlines()
    assert line.startswith("first/study.yaml") and "RuntimeError: x\\ny" in line
    assert (tmp_path / "site" / "second" / "index.html").is_file()
    asked = ran("--debug")
    assert asked.returncode == 1 and "Traceback" in asked.stderr
