"""A disk that is full or read-only, a fault of ours: one line, and nothing is lost."""

from __future__ import annotations

import errno
import os
from pathlib import Path

import pytest

from explainer.errors import OutputError
from explainer.publish.site import publish


def snapshot(target: Path) -> dict[str, bytes]:
    return {str(p.relative_to(target)): p.read_bytes() for p in target.rglob("*") if p.is_file()}


def litter(target: Path) -> list[str]:
    return [p.name for p in target.parent.iterdir() if ".explainer-" in p.name]


@pytest.mark.parametrize("fault", [errno.ENOSPC, errno.EROFS, errno.EACCES])
@pytest.mark.parametrize("call", ["mkdir", "fsync", "link", "open"])
def test_whatever_call_fails_the_old_site_stands(
    workspace, folders, quickly, target, monkeypatch, call, fault
):
    publish(workspace, folders, target, build=quickly)
    before, real = snapshot(target), getattr(os, call)

    def failing(path, *given, **named):
        if call == "fsync" or ".explainer-" in str(path) + str(given[:1]):
            raise OSError(fault, os.strerror(fault))
        return real(path, *given, **named)

    with monkeypatch.context() as patch:
        patch.setattr(os, call, failing)
        with pytest.raises(OutputError) as caught:  # one built, the other's pages carried over
            publish(workspace, folders, target, only=["first"], build=quickly)
    said = str(caught.value)
    assert os.strerror(fault) in said and "still stands" in said and "\n" not in said
    assert snapshot(target) == before
    publish(workspace, folders, target, build=quickly)
    assert snapshot(target) == before
    assert litter(target) == []


def test_a_first_publish_on_a_full_disk_leaves_nothing(
    workspace, folders, quickly, target, monkeypatch
):
    def full(handle):
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    with monkeypatch.context() as patch:
        patch.setattr(os, "fsync", full)
        with pytest.raises(OutputError, match=r"cannot write .*still stands"):
            publish(workspace, folders, target, build=quickly)
    assert not target.exists()
    assert litter(target) == []
