"""The prompter: a page of large words that scrolls as fast as they are said, offline."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from markupsafe import Markup

from explainer.editions.own_words import said_whose
from explainer.editions.policy import policy
from explainer.editions.script_clock import clock
from explainer.editions.templates import environment, safe_source, template_faults
from explainer.words.phrases.given import named


def prompter(known: dict[str, Any], folders: tuple[Path, ...]) -> str:
    """The page, from what the script's own templates know.  It carries no type of its own, so
    that it stays small: a prompter has fonts, and needs no other letters than a voice does.

    Raises WorkspaceError where a template is faulty.
    """
    css, script = safe_source(folders, "prompter.css"), safe_source(folders, "prompter.js")
    with template_faults(folders):
        page = environment(folders).get_template("prompter.html.j2").render(
            known, css=Markup(css), script=Markup(script), policy=policy(css, script),
            clock=named(clock),
        )  # fmt: skip
    return said_whose(page, folders)
