"""What a listener meets in the script of every example, in every length; prints, never fails::

    .venv/bin/python tests/benchmarks/script.py
"""

from __future__ import annotations

from pathlib import Path

from explainer.claims.judge import judge
from explainer.editions.compose import compose
from explainer.editions.script import compose_script
from explainer.editions.script_cuts import counted
from explainer.study.load import find_study, load_study

STUDIES = Path(__file__).parents[2] / "studies"


def main() -> None:
    for folder in sorted(p.parent for p in STUDIES.glob("*/study.yaml")):
        workspace, place = find_study(str(folder), None)
        judgement = judge(load_study(place, workspace))
        script = compose_script(judgement, compose(judgement))
        for cut in script.cuts:
            print(f"{folder.name:16} {cut.name:10} {cut.seconds:6.1f} s  {counted(cut).line}")


if __name__ == "__main__":
    main()
