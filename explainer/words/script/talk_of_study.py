"""A study as a talk: what to say, over which picture, and what to drop first when time is short.

Nothing here judges: findings are the sentences of ``StudyWords``, at the strength of their
verdicts, and phrases only lead from one to the next.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from explainer.claims.verdict import Judgement
from explainer.words.facts.figure import groups_in_words
from explainer.words.facts.study import main_tables
from explainer.words.page.cautions import cautions
from explainer.words.page.prose import fill
from explainer.words.phrases.book import teller_for
from explainer.words.quantity.numerals import cardinal
from explainer.words.said import ClaimWords, StudyWords
from explainer.words.script.desk import (
    ALWAYS,
    CHAIN,
    KEY,
    LIMITS,
    MOST_QUESTIONS,
    MOST_ROWS,
    OTHER,
    QUOTE,
    READING,
    Desk,
    Facts,
    aloud,
    found,
    part,
    plain,
    quotes,
    stop,
)
from explainer.words.script.figures import figure_parts
from explainer.words.script.findings import in_a_word, says
from explainer.words.script.once import in_breaths, without_the_question
from explainer.words.script.screen import TAKEAWAY
from explainer.words.script.talk import Card, Line, Part, Row, Screen, Talk
from explainer.words.speakers import saying


def say_script(judgement: Judgement, words: StudyWords) -> Talk:
    """The longest form of the script.  Raises WorkspaceError for a faulty phrase."""
    study = judgement.study
    teller = teller_for(judgement, study.workspace.settings.audience)
    desk = Desk(teller, judgement, words)
    parts = [p for make in PARTS for p in make(desk) if p.shots]
    return Talk(study.description.title, tuple(_named_once(parts)), desk.cards, desk.made_up)


def _opening(desk: Desk) -> Iterator[Part]:
    described = desk.judgement.study.description
    report = described.report
    screen = desk.card("question", Card(described.title, described.question))
    lines = [
        Line(desk.tell("question", "question"), ALWAYS),
        Line(desk.made_up, ALWAYS, brief=desk.made_up_brief),
        Line(plain(fill(described.intro or "", desk.judgement)), OTHER, "own"),
    ]
    if report is not None:
        known = {"title": report.title, "publisher": report.publisher, "pages": report.pages}
        said, short = (desk.tell(n, "report", **known) for n in ("report", "report.brief"))
        lines.append(Line(said, QUOTE, brief=short))
    yield part("question", "The question", [(Screen(screen, 0), lines)])


def _tested(desk: Desk) -> Iterator[Part]:
    """Who was tested: one dot each, by group."""
    known = desk.facts
    tables = main_tables(desk.judgement.study)
    counts = _counts(tables)
    rows = [Row(name, look=str(n)) for name, n in counts.items()]
    title = groups_in_words([g for g, n in counts.items() for _ in range(n)])
    card = Card("Who was tested", known["balls"], tuple(rows[:MOST_ROWS]), kind="items")
    screen = desk.card("tested", card)
    counted = _counted(known["described"], known["n"])
    said = desk.tell("tested", "tested", groups=title or known["groups"], counted=counted)
    first = Line(said, ALWAYS)
    lines = [first]
    if known["n_shots"] or known["points"] > 1:  # one reading each is nobody's temptation
        rank = OTHER if known["n_shots"] else READING
        lines.append(Line(desk.tell("counts", "counts"), rank))
    shots = [(Screen(screen, len(card.rows)), lines)]
    yield part("tested", "What was tested", shots)


def _counts(tables: list[Any]) -> dict[str, int]:
    for table in tables:
        if table.group is not None and table.group in table.frame:
            first = table.frame.drop_duplicates(table.item)
            return {str(g): int(n) for g, n in first[table.group].value_counts(sort=False).items()}
    return {"": len(tables[0].items)}


def _counted(described: str, n: int) -> bool:
    """Whether the author's own words say how many there were."""
    return re.search(rf"\b(?:{n}|{cardinal(n)})\b", described, re.IGNORECASE) is not None


def _rest(desk: Desk) -> Iterator[Part]:
    """Claims that no figure shows."""
    rest = [v for v in desk.judgement.verdicts if v.claim.id not in desk.said]
    if not rest:
        return
    name = "rest" if len(rest) > 1 else "rest.one"
    top = KEY if any(v.claim.id in desk.key for v in rest) else OTHER
    shots: list[tuple[Screen, list[Line]]] = []
    for verdict in rest:
        words = desk.words.claims[verdict.claim.id]
        card = Card(saying(verdict.claim), verdict.claim.sentence, (Row(words.label),))
        of = desk.card(f"claim-{verdict.claim.id}", card)
        rank = KEY if verdict.claim.id in desk.key else OTHER
        finding = says(desk, verdict, rank)
        lead = [] if shots else [Line(desk.tell(name, "rest"), top)]
        shots.append((Screen(of, 0), [*lead, *quotes(desk, [verdict], rank, bound=finding)]))
        lines = [finding]
        if verdict.code != "not-tested":
            lines.append(in_a_word(desk, verdict, max(rank, CHAIN)))
        shots.append((Screen(of, 1), lines))
    yield part("rest", "What no figure shows", shots, map(found, rest))


def _rule(desk: Desk) -> Iterator[Part]:
    rule, chain = desk.judgement.study.description.rule, desk.judgement.chain
    if rule is None:
        return
    links = chain.links if chain is not None else ()
    claims = desk.words.claims
    rows = tuple(
        Row(claims[n.claim].plainly, claims[n.claim].label, n.code, n.weakest)
        for n in links[:MOST_ROWS]
    )
    of = desk.card("rule", Card("The rule, and the reasons given", rule.change, rows, kind="chain"))
    bare, led = (desk.tell(n, "rule", change=stop(rule.change)) for n in ("rule.bare", "rule"))
    shots = [(Screen(of, 0), [Line(led if links else bare, CHAIN, brief=bare)])]
    for place, link in enumerate(links, start=1):
        kind = "first" if place == 1 else "last" if place == len(links) else ""
        said = desk.tell(f"link.{kind}".rstrip("."), link.claim, **_link_facts(claims[link.claim]))
        lines = [Line(said, READING, key="links", needs="chain")]
        if link.therefore and place < len(links):
            name = "therefore.first" if place == 1 else "therefore"
            said = desk.tell(name, link.claim, therefore=link.therefore)
            lines.append(Line(said, LIMITS, key="steps", needs="links"))
        shots.append((Screen(of, min(place, MOST_ROWS)), lines))
    if desk.words.chain:
        shots.append((Screen(of, TAKEAWAY), [Line(aloud(desk.words.chain), CHAIN, key="chain")]))
    yield part("rule", "The rule and its reasons", shots, ["chain"] if desk.words.chain else [])


def _link_facts(words: ClaimWords) -> Facts:
    return {"plainly": stop(words.plainly), "label": words.label}


def _stated(desk: Desk) -> Iterator[Part]:
    """Only where the report's own arithmetic does not hold."""
    pairs = zip(desk.judgement.stated, desk.words.stated, strict=False)
    wrong = [said for check, said in pairs if check.agrees is False or check.possible is False]
    if not wrong:
        return
    rows = tuple(Row(said) for said in wrong[:2])
    of = desk.card(
        "arithmetic", Card("The report’s own arithmetic", "Printed, and worked out again", rows)
    )
    lines = [Line(desk.tell("stated", "stated", stated=wrong[0]), OTHER)]
    shots = [(Screen(of, 1), lines)]
    shots += [(Screen(of, len(rows)), [Line(aloud(said), LIMITS)]) for said in wrong[1:3]]
    yield part("arithmetic", "The report’s own arithmetic", shots)


def _open(desk: Desk) -> Iterator[Part]:
    asked = desk.words.questions[:MOST_QUESTIONS]
    if not asked:
        return
    of = desk.card(
        "open", Card("Still open", "What this study leaves open", tuple(Row(q[0]) for q in asked))
    )
    shots = [(Screen(of, 0), [Line(desk.tell("open", "open"), OTHER)])]
    for place, (ask, _, settled) in enumerate(asked, start=1):
        said = desk.tell("ask", ask, ask=ask, nth=place - 1,
                         settled=without_the_question(settled, ask))  # fmt: skip
        shots.append(
            (
                Screen(of, place),
                [Line(said, OTHER if place <= 2 else READING, key=f"asked {place}")],
            )
        )
    shots[-1][1].append(Line(desk.tell("comments", "comments"), READING, needs="asked 1"))
    yield part("open", "What this study leaves open", shots, ["asked 1", "asked 2"])


def _advice(desk: Desk) -> Iterator[Part]:
    advice = desk.judgement.study.description.advice[:MOST_ROWS]
    if not advice:
        return
    said = [plain(fill(a.do, desk.judgement)) for a in advice]
    card = Card("What now?", "What to do with this", tuple(Row(s) for s in said))
    of = desk.card("advice", card)
    shots = [(Screen(of, 0), [Line(desk.tell("advice", "advice"), QUOTE)])]
    shots += [
        (Screen(of, i), [Line(text, QUOTE, "own", key=f"do {i}")])
        for i, text in enumerate(said, start=1)
    ]
    yield part(
        "advice", "What to do with this", shots, [f"do {i}" for i in range(1, len(said) + 1)]
    )


def _cautions(desk: Desk) -> Iterator[Part]:
    """What may hurt somebody who does as the study speaks of, right after what to do."""
    warned = cautions(desk.judgement, desk.teller)
    if warned is None:
        return
    of = desk.card("cautions", Card("Take care", warned.lead.rstrip(".")))
    lines = [Line(" ".join((warned.lead.replace(".", ":"), *warned.told)), KEY, brief=warned.brief)]
    yield part("cautions", "Before anyone tries it", [(Screen(of, 0), lines)])


def _answer(desk: Desk) -> Iterator[Part]:
    title = desk.words.answer
    of = desk.card("answer", Card("The answer", title))
    lines = [
        Line(desk.tell("answer", "answer", answer=in_breaths(aloud(title))), ALWAYS),
        Line(desk.tell("close", "close"), ALWAYS),
    ]
    yield part("answer", "The answer", [(Screen(of, 0), lines)])


#: The talk, from the first word to the last.
PARTS = (_opening, _tested, figure_parts, _rest, _rule, _stated, _open, _advice, _cautions, _answer)


def _named_once(parts: list[Part]) -> Iterator[Part]:
    """The parts with a number behind a name that stood before."""
    seen: dict[str, int] = {}
    for made in parts:
        seen[made.title] = seen.get(made.title, 0) + 1
        count = seen[made.title]
        yield replace(made, title=f"{made.title}, part {count}") if count > 1 else made
