"""The texts of a workspace beside its studies: they go into pages as they stand."""

from __future__ import annotations

import os
import re
from collections.abc import Iterator
from pathlib import Path

from explainer.study.files import FileFault, read_within
from explainer.study.model import Workspace
from explainer.study.shipped import is_shipped

#: What a fault in them is known by that names somebody hidden.
NAMED_TO_ALL = "names-somebody-to-all"
#: Files of which the words in small letters are none of a language.
CODE = (".css", ".js")
_ENDINGS = (".yaml", ".yml", ".j2", *CODE)
#: Bytes of a file, and files: more are refused where they are used.
_LIMIT, _MOST = 2_000_000, 1_000
#: A letter as programs write it that keep to ASCII.
_ESCAPED = re.compile(r"\\(x[\da-fA-F]{2}|u[\da-fA-F]{4}|U[\da-fA-F]{8})")


def own_texts(workspace: Workspace) -> Iterator[tuple[str, str]]:
    """Path within the workspace and text of its settings, and of its own glossary, phrases,
    templates and styles, with letters where these are escaped (``\\xE4``).  What cannot be read is
    left to those who use it, who say so."""
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
        yield place.relative_to(root).as_posix(), _ESCAPED.sub(_letter, text)


def _letter(escape: re.Match[str]) -> str:
    """The letter that an escape stands for; else as it was."""
    number = int(escape[1][1:], 16)
    return chr(number) if number < 0x110000 and chr(number).isalpha() else escape[0]
