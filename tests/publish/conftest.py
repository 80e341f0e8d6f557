"""A workspace without studies of its own, and studies that are built in no time."""

from __future__ import annotations

from pathlib import Path

import pytest

from explainer.publish.manifest import Built, Listing
from explainer.study.load import open_workspace

PAGE = (
    "<!doctype html><html lang=en><title>{id}</title><h1 id=top>{id} {text}</h1>"
    "<a href='../index.html'>all</a><a href='data/a.csv'>data</a><a href='#top'>top</a>"
)


def quick(id: str, text: str = "", **files: bytes) -> Built:
    """A study's files without its work."""
    return Built(
        Listing(id, f"Title of {id}", "Does it?", "It does.", claims=(("It does.", "Backed"),)),
        {
            "index.html": PAGE.format(id=id, text=text).encode(),
            "data/a.csv": b"ball,hook\nP1,12\n",
            **files,
        },
    )


@pytest.fixture
def workspace(tmp_path):
    (tmp_path / "home" / "studies").mkdir(parents=True)
    return open_workspace(tmp_path / "home")


@pytest.fixture
def folders() -> dict[str, Path]:
    """Two studies by id; their folders only carry the names."""
    return {"first": Path("first"), "second": Path("second")}


@pytest.fixture
def quickly():
    """Stands in for ``build``: builds the study a folder is named for."""
    return lambda folder, workspace: quick(folder.name)


@pytest.fixture
def target(tmp_path) -> Path:
    return tmp_path / "site"
