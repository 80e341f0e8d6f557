"""What the kit costs, and what it costs who does not ask for it.

.venv/bin/python tests/benchmarks/kit.py [STUDY]

Publishes a study's script without and with the kit, each in a process of its own, and says how
much processor each part of the kit takes and how large it is.  The aim is at most 60 seconds of
processor a study for the films, and nothing for who asks for none: no library of the kit is
loaded then, which is said as well.
"""

from __future__ import annotations

import sys
import time

from measure import medians, report

STUDY = sys.argv[1] if len(sys.argv) > 1 else "cover-texture"
#: Into a folder of its own each time: a site that has the study already is not built again.
PUBLISH = """
import sys, tempfile
from explainer.cli import main
with tempfile.TemporaryDirectory() as fresh:
    try:
        main(["publish", {study!r}, "--workers", "1", "--into", fresh + "/site", {editions}])
    finally:
        loaded = {{"av", "explainer.editions.kit", "opentimelineio"}} & set(sys.modules)
        assert bool(loaded) == {kit}, loaded
"""


def parts() -> None:
    """Seconds of processor and size of each part of the kit."""
    from explainer.claims.judge import judge
    from explainer.editions import kit as kits
    from explainer.editions.compose import compose
    from explainer.editions.script import compose_script
    from explainer.study.load import find_study, load_study
    from explainer.words.say import say

    workspace, folder = find_study(STUDY)
    judgement = judge(load_study(folder, workspace))
    script = compose_script(judgement, compose(judgement))
    assert script.kit is not None
    kit = kits.Kit(script, script.kit, judgement, say(judgement, workspace.settings.audience))
    for what, make in kits.PARTS.items():
        start = time.process_time()
        files = dict(make(kit))
        took, size = time.process_time() - start, sum(map(len, files.values())) / 1e6
        print(f"{what:44}{took:8.1f}s{len(files):8} files{size:8.1f} MB")
        if what == "films":
            print(f"{'':44}{'':9}(aim: at most 60 s)")


def main() -> None:
    asked = '"--edition", "script"', '"--edition", "kit"'
    python = sys.executable
    costs = medians({
        f"{STUDY}: script": [
            python, "-c", PUBLISH.format(study=STUDY, editions=asked[0], kit=False)],
        f"{STUDY}: script and kit": [
            python, "-c", PUBLISH.format(study=STUDY, editions=asked[1], kit=True)],
    }, 1)  # fmt: skip
    report(costs)
    print()
    parts()


if __name__ == "__main__":
    main()
