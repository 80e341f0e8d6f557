"""The pages that belong to no study: the front page and the glossary."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import Any

from markupsafe import Markup

from explainer import __version__
from explainer.editions.page import policy, style
from explainer.editions.templates import environment, safe_source, template_faults
from explainer.publish.glossaries import glossary_of
from explainer.publish.manifest import Listing
from explainer.study.model import Workspace
from explainer.words.glossary import Entry, Glossary


def shared_pages(workspace: Workspace, studies: Iterable[Listing]) -> dict[str, bytes]:
    """Files at the top of the site, by path."""
    glossary = glossary_of(workspace)
    return {
        "index.html": front_page(workspace, studies).encode("utf-8"),
        "glossary/index.html": glossary_page(workspace, glossary).encode("utf-8"),
    }


def front_page(workspace: Workspace, studies: Iterable[Listing]) -> str:
    """The studies by question, each with its answer."""
    return _page(workspace, "index.html.j2", "page.js", studies=tuple(studies))


def glossary_page(workspace: Workspace, glossary: Glossary) -> str:
    """Every term of the workspace, by letter."""
    letters: dict[str, list[Entry]] = {}
    for entry in sorted(glossary.entries, key=lambda e: e.term.casefold()):
        letters.setdefault(entry.term[:1].upper(), []).append(entry)
    see = {
        entry.slug: tuple(found for name in entry.see if (found := glossary.find(name)))
        for entry in glossary.entries
    }
    return _page(workspace, "glossary.html.j2", "glossary.js", letters=letters, see=see)


def _page(workspace: Workspace, template: str, script: str, **known: Any) -> str:
    folders: tuple[Path, ...] = workspace.template_folders
    css, code = style(folders, "screen"), safe_source(folders, script)
    with template_faults(folders):
        return (
            environment(folders)
            .get_template(template)
            .render(
                **known,
                settings=workspace.settings,
                version=__version__,
                css=Markup(css),
                script=Markup(code),
                policy=policy(css, code),
            )
        )
