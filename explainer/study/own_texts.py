"""The texts of a workspace beside its studies: they go into pages as they stand."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path

from explainer.study.files import FileFault, read_within
from explainer.study.model import Workspace
from explainer.study.shipped import is_shipped

_ENDINGS = (".yaml", ".yml", ".j2", ".css", ".js")
#: Bytes of a file, and files: more are refused where they are used.
_LIMIT, _MOST = 2_000_000, 1_000


def own_texts(workspace: Workspace) -> Iterator[tuple[str, str]]:
    """Path within the workspace and text of its settings, and of its own glossary, phrases,
    templates and styles.  What cannot be read is left to those who use it, who say so."""
    root = workspace.root
    places = [root / "studies" / "settings.yaml"]
    for folder in (*workspace.glossary_folders, *workspace.template_folders):
        if not is_shipped(folder):
            inner = os.walk(folder)  # follows no links to folders
            places += sorted(
                Path(at) / name
                for at, _, files in inner for name in files if name.endswith(_ENDINGS)
            )[:_MOST]  # fmt: skip
    for place in places:
        try:
            text = read_within(root, place, _LIMIT).decode("utf-8", "replace")
        except FileFault:
            continue
        yield place.relative_to(root).as_posix(), text
