"""Where our own glossary, templates and studies are."""

from __future__ import annotations

from pathlib import Path

from explainer.study.files import lies_within

_PACKAGE = Path(__file__).resolve().parent.parent


def shipped(what: str) -> Path:
    """Our own ``glossary`` or ``templates``: inside an installed package, beside a checkout."""
    installed = _PACKAGE / "_shipped" / what
    return installed if installed.is_dir() else _PACKAGE.parent / what


def is_shipped(path: Path) -> bool:
    """Whether a file or folder is our own ``glossary`` or ``templates``, or lies in one."""
    return any(lies_within(shipped(what), path) for what in ("glossary", "templates"))


def home() -> Path:
    """The workspace we ship: the repository itself, or the installed package's folder."""
    return _PACKAGE / "_shipped" if (_PACKAGE / "_shipped").is_dir() else _PACKAGE.parent
