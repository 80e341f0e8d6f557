"""Says what an audit found: exit status 1 where a locked version is known to be vulnerable.

A registry may keep no such data, for all packages or for some: then that is said, since silence
would look like safety.
"""

from __future__ import annotations

import json
import sys
from pathlib import Path


def told(text: str) -> tuple[list[str], int]:
    """Lines to print and the exit status, from what pip-audit wrote as JSON."""
    try:
        packages = json.loads(text)["dependencies"]
    except (ValueError, KeyError, TypeError):
        return ["no answer about known vulnerabilities; not looked for"], 0
    lines = []
    for package in packages:
        for fault in package.get("vulns", ()):
            mended = ", ".join(fault.get("fix_versions") or ()) or "no version yet"
            lines.append(
                f"{package['name']} {package['version']}: {fault['id']}, mended in {mended}"
            )
    status = 1 if lines else 0
    unknown = sum("skip_reason" in package for package in packages)
    looked = len(packages) - unknown
    lines.append(f"{looked} of {len(packages)} packages looked up for known vulnerabilities")
    if unknown:
        lines.append(f"the registry says nothing about the other {unknown}")
    return lines, status


if __name__ == "__main__":
    lines, status = told(Path(sys.argv[1]).read_text("utf-8"))
    print("\n".join(f"explainer: {line}" for line in lines))
    sys.exit(status)
