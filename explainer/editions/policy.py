"""What a page may load and run: content security policies that name style and script by hash.

W3C, Content Security Policy Level 3, on hash sources.
"""

from __future__ import annotations

import re
from base64 import b64encode
from collections.abc import Iterator
from hashlib import sha256

_CSS_URL = re.compile(r"url\(\s*['\"]?([^'\")]+)|@import\s+['\"]?([^'\";]+)", re.IGNORECASE)


def css_loads(css: str) -> Iterator[tuple[int, str]]:
    """What a style loads, each with where in it that is asked for; what it carries is left out."""
    for found in _CSS_URL.finditer(css):
        if not (load := (found[1] or found[2]).strip()).startswith(("data:", "#")):
            yield found.start(), load


def hash_source(text: str) -> str:
    """A style or a script as a policy names it: ``sha256-`` and its digest in base 64."""
    return "sha256-" + b64encode(sha256(text.encode()).digest()).decode("ascii")


def policy(css: str, script: str) -> str:
    """The content security policy: this style, this script, data: images and type, no more."""
    return (
        f"default-src 'none'; style-src '{hash_source(css)}'; script-src '{hash_source(script)}'; "
        "img-src data:; font-src data:; base-uri 'none'; form-action 'none'"
    )


def style_policy(css: str) -> str:
    """The policy of a page without a script: this style and data: images, no more."""
    return (
        f"default-src 'none'; style-src '{hash_source(css)}'; img-src data:; base-uri 'none'; "
        "form-action 'none'"
    )
