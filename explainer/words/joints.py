"""The word that ties a step of reasoning to the one before, where a text supplies its own."""

from __future__ import annotations

JOINTS = ("and so ", "so that ", "so ", "and ", "therefore ", "then ", "hence ")


def unjoined(therefore: str) -> str:
    """The step without its first joint: ``so a ball slides`` as ``a ball slides``."""
    text = therefore.strip()
    for joint in JOINTS:
        if text.casefold().startswith(joint):
            return text[len(joint) :].lstrip(" ,:")
    return text
