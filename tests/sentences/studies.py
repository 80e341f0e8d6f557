"""Random studies over the whole space that an author can describe, each from a seed.

Nothing here is likely to be sensible: n from 1 to 40, items that leave, readings that are missing
or tied, effects of every size, sizes claimed that are far off, percentages and thousandths of an
inch, groups of one, patients and rivers in place of balls.  A sentence has to be true of all of
them.  All of it is invented.
"""

from __future__ import annotations

import csv
import json
import random
from collections.abc import Callable
from pathlib import Path
from typing import Any

Row = dict[str, Any]
Test = dict[str, Any]

#: (key, term, unit, matters_from, more_is, less_is, start, scale): what may be measured.
MEASURES = (
    ("texture", "cover roughness", "microinch", 6, "rougher", "smoother", 70.0, 6.0),
    ("hook", "total hook", "board", 1, "more hook", "less hook", 12.0, 1.0),
    ("gap", "bridge width", "inch", 0.002, None, None, 0.3, 0.001),
    ("share", "share of strikes", "percent", 5, "more strikes", "fewer strikes", 55.0, 5.0),
    ("hardness", "hardness", "Shore D", 1, "harder", "softer", 75.0, 1.0),
)
EACH = ("ball", "bowler", "patient", "river", "lane")
N_ITEMS = (2, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 13, 16, 20, 30, 40)
USES = ((0, 60), (0, 30, 60), (0, 5, 10, 20, 40), (1, 2, 3, 4, 5, 6))


class World:
    """One random study, its rows kept for whoever wants to know the truth."""

    def __init__(self, seed: int) -> None:
        self.draw = random.Random(f"study {seed}")
        self.more = random.Random(f"more of study {seed}")
        self.name = f"drawn-{seed}"
        pick = self.draw.choice
        self.each = pick(EACH)
        self.uses = pick(USES)
        self.first, self.last = self.uses[0], self.uses[-1]
        self.n = pick(N_ITEMS)
        self.groups = ["Plover", "Teasel", "Linnet", "Siskin"][: pick((1, 2, 2, 2, 3, 4))]
        self.x, self.y = self.draw.sample(MEASURES, 2)
        self.files: dict[str, list[Row]] = {"read": self._readings()}
        self.tables: dict[str, Row] = {"read": {"file": "read.csv", "source": "Table 1"}}
        self._more_tables()
        self.claims = self._claims()
        self.figures = self._figures()

    # Rows ------------------------------------------------------------------------------------

    def _readings(self) -> list[Row]:
        """Every item at every checkpoint, x and y, with what real sheets do to them."""
        draw, (key_x, *_, x0, sx), (key_y, *_, y0, sy) = self.draw, self.x, self.y
        effect = draw.choice((0, 0.3, 1, 2, 5)) * draw.choice((-1, 1))
        apart = draw.choice((0, 0, 0.5, 3))
        sd, noise = draw.choice((0.05, 0.3, 1, 3)), draw.choice((0, 0.1, 0.5))
        slope, step = draw.choice((0, 0, 0.3, 1, -1)), draw.choice((0.02, 0.1, 0.5, 2))
        curve = {u: draw.choice((0, 0.2, 0.5, 0.9, 1, 1.3)) for u in self.uses}
        curve |= {self.first: 0.0, self.last: 1.0}
        missing, leaving = draw.choice((0, 0, 0.1)), draw.choice((0, 0, 0.3))
        shelves = self.more.choices(("left", "right", "floor"), k=7)
        rows = []
        for i in range(self.n):
            group = self.groups[i] if i < len(self.groups) else draw.choice(self.groups)
            level = draw.gauss(0, 1) + apart * self.groups.index(group)
            moved = effect + draw.gauss(0, sd)
            until = draw.choice(self.uses) if draw.random() < leaving else self.last
            for use in self.uses:
                if use > until:
                    continue
                x = level + moved * curve[use] + draw.gauss(0, noise)
                y = slope * x + draw.gauss(0, 1) * max(noise, 0.2)
                row: Row = {self.each: f"{self.each[0].upper()}{i + 1}", "model": group,
                            "shelf": shelves[i % len(shelves)], "games": use,
                            key_x: self._round(x0 + sx * x, sx * step),
                            key_y: self._round(y0 + sy * y, sy * step)}  # fmt: skip
                for key in (key_x, key_y):
                    if draw.random() < missing:
                        row[key] = ""
                rows.append(row)
        return rows

    def _round(self, value: float, step: float) -> float:
        if self.x[2] == "percent" or self.y[2] == "percent":
            value = min(max(value, -1e6), 1e6)
        return round(round(value / step) * step, 6)

    def _more_tables(self) -> None:
        """Shots in order, tries under two conditions, a gauge: each in some studies only."""
        makers: tuple[tuple[str, Callable[[], list[Row]], Row], ...] = (
            ("shots", self._shots, {"order": "shot"}),
            ("tries", self._tries, {"tested": {"each": "bowler"}}),
            ("gauge", self._gauge, {}),
        )
        for name, make, more in makers:
            if self.draw.random() < 0.4:
                self.files[name] = make()
                self.tables[name] = {"file": f"{name}.csv", "source": "Table 2", **more}

        if self.more.random() < 0.3:
            self.files["paths"] = self._paths()
            self.tables["paths"] = {"file": "paths.csv", "source": "Table 3"}

    def _paths(self) -> list[Row]:
        """Where each item stood at marks down the lane, on early shots and on late ones."""
        draw = self.more
        n, marks = draw.choice((1, 2, 4, 8)), draw.choice(((0, 30, 60), tuple(range(0, 61, 10))))
        turn, later = draw.choice((None, 30, 40)), draw.choice((0, 0, 0.5, 3))
        sd, rows = draw.choice((0.1, 1)), []
        for i in range(n):
            start = draw.gauss(15, sd)
            for k, part in enumerate(("first", "last")):
                for feet in marks:
                    bend = 0.0 if turn is None or feet < turn else -0.3 * (feet - turn)
                    board = start - 0.1 * feet - bend + later * k * feet / 60 + draw.gauss(0, sd)
                    rows.append({self.each: f"L{i + 1}", "part": part, "feet": feet,
                                 "board": round(board, 2)})  # fmt: skip
        return self._seen(rows)

    def _seen(self, rows: list[Row]) -> list[Row]:
        """Of some studies' paths some were lost: an item's early or late shots, a mark or two."""
        draw = random.Random(f"paths of {self.name}")
        if draw.random() < 0.5:
            return rows
        gone = {(i, part) for i in range(9) for part in ("first", "last") if draw.random() < 0.3}
        kept = [row for row in rows if draw.random() > 0.1
                and (int(row[self.each][1:]), row["part"]) not in gone]  # fmt: skip
        return kept if len({row["part"] for row in kept}) > 1 else rows

    def _shots(self) -> list[Row]:
        draw, n = self.draw, self.draw.choice((1, 2, 4, 8))
        tilt, sd = draw.choice((0, 0, 0.01, 0.1, -0.05)), draw.choice((0.1, 1))
        return [{self.each: f"S{i + 1}", "shot": k + 1,
                 "carry": round(20 + tilt * k + draw.gauss(0, sd), 2)}
                for i in range(n) for k in range(draw.choice((12, 20, 30)))]  # fmt: skip

    def _tries(self) -> list[Row]:
        draw, n = self.draw, self.draw.choice((2, 3, 5, 8, 12))
        gap = draw.choice((0, 0.05, 0.2, -0.1))
        rows = []
        for i in range(n):
            rate = draw.uniform(0.2, 0.7)
            for oil, more in (("long", gap), ("short", 0.0)):
                tries = draw.choice((5, 20, 40, 100))
                hits = sum(draw.random() < min(max(rate + more, 0), 1) for _ in range(tries))
                rows.append({"bowler": f"B{i + 1}", "oil": oil, "strikes": hits, "shots": tries})
        return rows

    def _gauge(self) -> list[Row]:
        draw = self.draw
        n, hands, again = draw.choice((2, 4, 8)), draw.choice((1, 2, 3, 4)), draw.choice((2, 3))
        wide, bias, sd = draw.choice((0.2, 2, 6)), draw.choice((0, 0.5)), draw.choice((0.05, 0.5))
        rows = []
        for i in range(n):
            level = 75 + draw.gauss(0, wide)
            for h in range(hands):
                for k in range(again):
                    read = level + bias * h + draw.gauss(0, sd)
                    rows.append({self.each: f"G{i + 1}", "desk": f"desk {h + 1}", "go": k + 1,
                                 "reading": round(read, 1)})  # fmt: skip
        return rows

    # What is claimed and drawn ----------------------------------------------------------------

    def _claims(self) -> list[Row]:
        tests = self._tests()
        keep = self.draw.sample(sorted(tests), min(len(tests), self.draw.choice((2, 4, 6))))
        return [{"id": name, "report_says": f"Sentence {name}.", "plainly": f"Plain {name}.",
                 "page": 2, "test": tests[name]} for name in keep]  # fmt: skip

    def _tests(self) -> dict[str, Test]:
        """Every kind that this study's tables allow, some of them in two ways."""
        draw, (mx, *_, sx), (my, *_, sy) = self.draw, self.x, self.y
        pick = draw.choice
        up, size = pick(("up", "down", "any")), pick((0.2, 1, 3)) * sx
        hi = {"up": "higher", "down": "lower", "any": "any"}[up]
        po = {"up": "positive", "down": "negative", "any": "any"}[up]
        span = {"from": self.first, "to": self.last}
        half = pick(self.uses[1:-1] or self.uses[-1:])
        two = {"by": "model", "a": "Plover", "b": "Teasel", "table": "read"}
        made: dict[str, Test] = {
            "change": {"kind": "change", "measure": mx, "direction": up, **span},
            "change-size": {"kind": "change", "measure": mx, "direction": up,
                            "at_least": size, **span},
            "no-change": {"kind": "no-change", "measure": mx, "margin": size, **span},
            "no-change-y": {"kind": "no-change", "measure": my, **span},
            "link": {"kind": "association", "x": mx, "y": my, "direction": po},
            "link-strong": {"kind": "association", "x": mx, "y": my, "direction": po,
                            "strong": True},
            "no-link": {"kind": "no-association", "x": mx, "y": my, "margin": pick((0.3, 0.7))},
            "no-link-within": {"kind": "no-association", "x": mx, "y": my, "margin": 0.7,
                               "within": True},
            "within": {"kind": "tracks-within", "x": mx, "y": my, "direction": po},
            "line": {"kind": "same-line", "x": mx, "y": my},
            "limit": {"kind": "limit", "measure": my, "u": pick((0, 0.3, 1)) * sy, "at": self.last,
                      pick(("at_least", "at_most")): round(self.y[6] + pick((-1, 0, 1)) * sy, 4)},
            "beyond": {"kind": "change", "measure": mx, "direction": up, "from": self.first,
                       "to": self.last * 3},
            "drift-use": {"kind": "trend", "measure": mx, "over": "games", "direction": up},
            "link-given": {"kind": "association", "x": mx, "y": my, "direction": po,
                           "strong": self.more.random() < 0.3, "given": ["shelf"]},
            "limit-two": {"kind": "limit", "measure": my, "u": self.more.choice((0, 0.3)) * sy,
                          "at": self.last, "at_least": round(self.y[6] - sy, 4),
                          "at_most": round(self.y[6] + self.more.choice((0.5, 1, 3)) * sy, 4)},
            "drift-least": {"kind": "trend", "measure": mx, "over": "games", "direction": up,
                            "at_least": round(self.more.choice((0.2, 1, 3)) * sx / self.last, 6)},
        }  # fmt: skip
        if len(self.uses) > 2:
            made["early"] = {"kind": "break-in", "measure": mx, "by": half, **span}
        if min(len(self.groups), self.n) > 1:
            made["gap"] = {"kind": "difference", "measure": mx, "direction": hi, **two}
            made["gap-size"] = {"kind": "difference", "measure": mx, "direction": hi,
                                "at_least": size, "at": self.last, **two}  # fmt: skip
            made["faster"] = {"kind": "difference-in-change", "measure": mx, "direction": hi,
                              **span, **two}  # fmt: skip
            made["faster-size"] = {"kind": "difference-in-change", "measure": mx,
                                   "direction": hi, "at_least": size, **span, **two}  # fmt: skip
        if "shots" in self.files:
            made["drift"] = {"kind": "trend", "measure": "carry", "over": "shot", "direction": up}
        if "tries" in self.files:
            made["rates"] = {"kind": "rate-difference", "successes": "strikes",
                             "attempts": "shots", "by": "oil", "a": "long", "b": "short",
                             "direction": hi, "within": "bowler"}  # fmt: skip
            if self.more.random() < 0.3:  # picked by what became of them, others on each side
                made["rates-odds"] = {k: v for k, v in made["rates"].items() if k != "within"}
                made["rates-odds"] |= {"in": "odds", "direction": "higher" if hi == "any" else hi}
            made["rates-least"] = {**made["rates"], "direction": "higher" if hi == "any" else hi,
                                   "at_least": self.more.choice((0.05, 0.2))}
        if "gauge" in self.files:
            made["gauge"] = {"kind": "repeatability", "measure": "reading", "operator": "desk",
                             "repeat": "go"}  # fmt: skip
            made["gauge-sees"] = {**made["gauge"], "detects": pick((0.5, 2))}
        return made

    def _figures(self) -> list[Row]:
        mx, my = self.x[0], self.y[0]
        made: list[Row] = [
            {"id": "fig-use", "kind": "over-use", "table": "read", "y": mx, "group": "model"},
            {"id": "fig-link", "kind": "scatter", "table": "read", "x": mx, "y": my,
             "join": self.draw.random() < 0.5},
            {"id": "fig-groups", "kind": "groups", "table": "read", "y": mx, "by": "model",
             "at": self.last},
            {"id": "fig-limit", "kind": "limit", "table": "read", "y": my, "at": self.last,
             "at_least": round(self.y[6], 4), "u": 0.3 * self.y[7],
             **self.more.choice(({}, {}, {"at_most": round(self.y[6] + self.y[7], 4)}))},
        ]  # fmt: skip
        if "shots" in self.files:
            made.append({"id": "fig-shots", "kind": "shot-series", "table": "shots", "y": "carry",
                         **self.more.choice(({}, {"first": 5, "last": 5}))})  # fmt: skip
        if "tries" in self.files:
            made.append({"id": "fig-rates", "kind": "rates", "table": "tries", "by": "oil",
                         "successes": "strikes", "attempts": "shots", "within": "bowler"})
        if "gauge" in self.files:
            made.append({"id": "fig-gauge", "kind": "gauge", "table": "gauge", "y": "reading",
                         "operator": "desk", "repeat": "go"})  # fmt: skip
        if "paths" not in self.files:
            return self.draw.sample(made, self.draw.choice((1, 2, len(made))))
        by = self.more.choice(({"by": "part"}, {"by": "part"}, {}))
        return [*self.draw.sample(made, self.draw.choice((1, 2, len(made)))),
                {"id": "fig-paths", "kind": "ball-paths", "table": "paths", "distance": "feet",
                 "board": "board", **by}]  # fmt: skip

    # Files -------------------------------------------------------------------------------------

    def description(self) -> Row:
        measures = {
            key: {"term": term, "unit": unit, "matters_from": matters,
                  **({"more_is": more, "less_is": less} if more else {})}
            for key, term, unit, matters, more, less, *_ in (self.x, self.y)
        }  # fmt: skip
        if "shots" in self.files:
            measures["carry"] = {"term": "ball speed", "unit": "mph", "matters_from": 0.5,
                                 "more_is": "faster", "less_is": "slower"}  # fmt: skip
        if "gauge" in self.files:
            measures["reading"] = {"term": "desk reading", "unit": "Shore D", "matters_from": 1}
        return {
            "title": f"Drawn study {self.name}", "question": "What holds?", "invented": True,
            "report": {"title": "A made-up report", "publisher": "Nobody", "date": "2026-01-01",
                       "pages": 9},
            "tested": {"each": self.each, "group": "model", "described": "Made up"},
            "use": {"column": "games", "term": "games rolled", "unit": "game"},
            "measures": measures, "tables": self.tables, "figures": self.figures,
            "claims": self.claims,
        }  # fmt: skip

    def write(self, workspace: Path) -> Path:
        """The study's folder under ``workspace/studies``."""
        folder = workspace / "studies" / self.name
        folder.mkdir(parents=True)
        for name, rows in self.files.items():
            with (folder / f"{name}.csv").open("w", newline="", encoding="utf-8") as file:
                writer = csv.DictWriter(file, fieldnames=list(rows[0]) if rows else ["none"])
                writer.writeheader()
                writer.writerows(rows)
        text = json.dumps(self.description(), indent=1)
        (folder / "study.yaml").write_text(text, encoding="utf-8")
        return folder
