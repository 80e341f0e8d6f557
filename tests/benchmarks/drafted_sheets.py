"""How much of the messy sheets of tests/draft/corpus a draft reads rightly, sheet by sheet.

    .venv/bin/python tests/benchmarks/drafted_sheets.py

It prints, and never fails; tests/draft/test_corpus.py holds the totals.
"""

from __future__ import annotations

import sys
from pathlib import Path

sys.path[:0] = [str(Path(__file__).parents[1]), str(Path(__file__).parents[2])]

from draft.scoring import Score, score, sheets  # noqa: E402


def main() -> None:
    for half in ("blind", "further", "later"):
        total = Score(sheets=0)
        for told in sheets(half):
            one = score(half, told)
            print(f"{told['sheet']:<28} {one.columns_right:>3} of {one.columns:<3} columns, "
                  f"{one.rows_right:>3} of {one.rows:<3} rows")  # fmt: skip
            for wrong in one.wrong:
                print(f"    {'silently ' if wrong in one.silent else ''}wrong: {wrong}")
            total.add(one)
        print(f"{half}: {total}\n")


if __name__ == "__main__":
    main()
