"""Completes the bill of materials of a release: which version it is of, what that was built into
(each file by its hash), and what it asks for itself.

The tool that wrote it read a flat list: it knows no version of ours, and says of every package that
it needs no other.  Only what is known stays: what explainer asks for.
"""

from __future__ import annotations

import hashlib
import json
import re
import sys
import tomllib
from collections.abc import Iterable
from pathlib import Path
from typing import Any


def named(requirement: str) -> str:
    """The name in ``NAME[extra]>=1``, as registries compare names."""
    found = re.match(r"[\w.-]+", requirement)
    return re.sub(r"[-_.]+", "-", found[0]).lower() if found else ""


def hash_of(path: Path) -> dict[str, str]:
    return {"alg": "SHA-256", "content": hashlib.sha256(path.read_bytes()).hexdigest()}


def completed(
    bill: dict[str, Any], version: str, wanted: Iterable[str], built: Iterable[Path]
) -> dict[str, Any]:
    """The bill with our version, our files and our own dependencies.

    Raises KeyError for a dependency that the bill does not list.
    """
    ours = bill["metadata"]["component"]
    ours["version"] = version
    ours["externalReferences"] = [
        {"type": "distribution", "url": path.name, "hashes": [hash_of(path)]}
        for path in sorted(built)
    ]
    refs = {named(each["name"]): each["bom-ref"] for each in bill["components"]}
    needed = sorted(refs[named(each)] for each in wanted)
    bill["dependencies"] = [{"ref": ours["bom-ref"], "dependsOn": needed}]
    return bill


if __name__ == "__main__":
    path, version, *built = sys.argv[1:]
    project = tomllib.loads(Path("pyproject.toml").read_text("utf-8"))["project"]
    read = json.loads(Path(path).read_text("utf-8"))
    made = completed(read, version, project["dependencies"], map(Path, built))
    Path(path).write_text(json.dumps(made, indent=1) + "\n", "utf-8")
