"""A study as a talk: built on its question, and what to drop first when time is short.

The question and why it matters; a guess; the reveal; the twist; then what else there is; then back
to the question with finding, strength and limit; what to do; what nobody knows; one request.
Nothing here judges: findings are said at the strength of their verdicts, and phrases only lead from
one to the next.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import Any

from explainer.claims.verdict import UNANSWERED, Judgement, Verdict
from explainer.study.description.study import RULE
from explainer.words.facts.claim import cannot_answer
from explainer.words.facts.figure import groups_in_words
from explainer.words.facts.items import sort_of
from explainer.words.facts.relations import catches
from explainer.words.facts.study import main_tables
from explainer.words.page.cautions import cautions
from explainer.words.page.prose import fill
from explainer.words.page.study import key_verdicts
from explainer.words.phrases.book import teller_for
from explainer.words.quantity.heard import in_words
from explainer.words.quantity.numerals import cardinal
from explainer.words.quantity.spoken import said_words
from explainer.words.said import StudyWords
from explainer.words.script import figures
from explainer.words.script.desk import (
    ALWAYS,
    GUESS,
    KEY,
    LIMITS,
    MOST_QUESTIONS,
    MOST_ROWS,
    NIGHT,
    OTHER,
    OWN,
    READING,
    TURN,
    Desk,
    Facts,
    found,
    part,
    plain,
    plainer,
    quote,
    stop,
)
from explainer.words.script.figures import TITLED, because, in_a_word, lead_in, role_of, says
from explainer.words.script.measure import MOST_WORDS, QUESTION_BY, split, without_the_question
from explainer.words.script.plan import (
    Bookends,
    TalkPlan,
    frame,
    guess_first,
    own_lines,
    plan,
)
from explainer.words.script.screen import TAKEAWAY
from explainer.words.script.talk import Card, Line, Part, Row, Screen, Talk
from explainer.words.speakers import saying


def say_script(judgement: Judgement, words: StudyWords) -> Talk:
    """The longest form of the script.  Raises WorkspaceError for a faulty phrase."""
    study = judgement.study
    teller = teller_for(judgement, study.workspace.settings.audience)
    desk, built = Desk(teller, judgement, words), plan(judgement)
    parts = [p for make in PARTS for p in make(desk, built) if p.shots]
    return Talk(study.description.title, tuple(_named_once(parts)), desk.cards, desk.made_up)


def _opening(desk: Desk, built: TalkPlan) -> Iterator[Part]:
    """The question and why it matters, in the first seconds; then what one is listening to."""
    described = desk.judgement.study.description
    author = frame(desk.judgement)
    screen = desk.card("question", Card(described.title, described.question))
    asked = desk.tell("question", "question")
    matters = desk.tell("why", "question", rule=described.rule is not None,
                        advice=bool(described.advice))  # fmt: skip
    first = [Line(asked, ALWAYS, key="asked"), Line(matters, NIGHT, key="why")]
    hook = Line(plain(author.hook), NIGHT, "own", key="hook")
    rate = described_rate(desk.judgement)
    early = said_words(f"{hook.text} {asked}") <= QUESTION_BY * rate / 60
    running = plain(author.running_question)
    lines = [
        *([hook, *first] if early else [*first, hook]),
        Line(desk.made_up_brief, ALWAYS, brief=desk.made_up_short),
        Line(desk.tell("running", "running", asked=running) if running else "", OWN),
        Line(plain(fill(described.intro or "", desk.judgement)), OWN, "own"),
        *own_lines(desk, described),
    ]  # fmt: skip
    yield part("question", "The question", [(Screen(screen, 0), lines)])


def described_rate(judgement: Judgement) -> int:
    """Words a minute at which the workspace's scripts are spoken."""
    return judgement.study.workspace.settings.speaking_rate


def _tested(desk: Desk, built: TalkPlan) -> Iterator[Part]:
    """Who was tested: one dot each, by group."""
    known = desk.facts
    tables = main_tables(desk.judgement.study)
    counts = _counts(tables)
    rows = [Row(name, look=str(n)) for name, n in counts.items()]
    title = groups_in_words([g for g, n in counts.items() for _ in range(n)], None)
    card = Card("Who was tested", known["balls"], tuple(rows[:MOST_ROWS]), kind="items")
    screen = desk.card("tested", card)
    counted = _counted(known["described"], known["n"])
    said = desk.tell("tested", "tested", groups=title or known["groups"], counted=counted)
    lines = [Line(said, ALWAYS)]
    if known["often"] > 1:
        lines.append(Line(desk.tell("read", "tested"), OTHER))
    lines.append(Line(desk.spoken(desk.words.reach), OWN))
    shots = [(Screen(screen, len(card.rows)), lines)]
    yield part("tested", "What was tested", shots)


def _counts(tables: list[Any]) -> dict[str, int]:
    for table in tables:
        if table.group is not None and table.group in table.frame:
            first = table.frame.drop_duplicates(table.item)
            counts = first[table.group].value_counts(sort=False)
            return {sort_of(str(g), table.group): int(n) for g, n in counts.items()}
    return {"": len(tables[0].items)}


def _counted(described: str, n: int) -> bool:
    """Whether the author's own words say how many there were."""
    return re.search(rf"\b(?:{n}|{cardinal(n)})\b", described, re.IGNORECASE) is not None


def _turn(desk: Desk, built: TalkPlan) -> Iterator[Part]:
    """The twist that no figure shows: the claim on a card, and what the data say to it."""
    verdict = built.twist
    if verdict is None:
        yield from _few(desk, built)
        return
    if verdict.claim.id in desk.said:
        return
    to = lead_in(desk, verdict, found(verdict))
    shots = _claim_shots(desk, verdict, TURN, [to], READING)
    yield part("twist", TITLED[role_of(verdict)], shots, [found(verdict)])


def _few(desk: Desk, built: TalkPlan) -> Iterator[Part]:
    """Where nothing turns the answer but that it is not settled: how many would settle it."""
    lead = built.lead
    if lead is None or lead.code not in ("leans", "cannot-tell"):
        return
    facts = desk.heard(lead)
    if not (needed := _needed(lead, facts)):
        return
    told = desk.tell("few", "twist", needed=needed, items=facts["items"])
    rows = (Row(_row(told)),)
    of = desk.card("twist", Card(TITLED["open"], facts["balls"], rows), lead)
    said = f"{desk.tell('to.turn.open', 'twist')} {told}"
    yield part("twist", TITLED["open"], [(Screen(of, 1), [Line(said, TURN)])])


def _needed(verdict: Verdict, facts: Facts) -> str:
    """How many would settle it; nothing where more of them alone would not: the best guess is past
    what a claim of next to none allows, the range has no room for what they could see, it hangs on
    how near the truth is to a size claimed, or something else holds it back as well."""
    past = facts["kind"] in ("no-change", "no-association") and not facts["guess_within"]
    past = past or facts["effect_out"] or facts["sized"]
    held = set(catches(verdict)) - {"too-few-items", "fragile"}
    if past or held or facts["far_off"] or not facts["more_needed"]:
        return ""
    return str(facts["needed"])


def _also(desk: Desk, built: TalkPlan) -> Iterator[Part]:
    """What else the question turns on, each over its own figure or on a card."""
    for verdict in built.also:
        if verdict.claim.id in desk.said:
            continue
        shown = figures.also(desk, built, verdict)
        if shown is not None:
            yield shown
            continue
        shots = _claim_shots(desk, verdict, KEY, [], READING)
        title = desk.words.claims[verdict.claim.id].plainly.rstrip(".")
        yield part(f"claim-{verdict.claim.id}", title, shots, [found(verdict)])


def _told(desk: Desk, built: TalkPlan) -> Iterator[Part]:
    """All between the question and the answer: in the author's order, else in ours."""
    order = desk.judgement.study.description.order
    for id in order:
        yield from _at_its_place(desk, built, id)
    for make in OURS:
        if make is not _rule or RULE not in order:
            yield from make(desk, built)


def _at_its_place(desk: Desk, built: TalkPlan, id: str) -> Iterator[Part]:
    """A figure, and the claims that name it and stand nowhere else; a claim, over its figure where
    that has no place of its own; or the rule, after those of its reasons that wait for it."""
    judgement = desk.judgement
    placed = set(judgement.study.description.order)
    waiting = [v for v in judgement.verdicts if v.claim.id not in placed | desk.said]
    shown = next((f for f in judgement.figures if f.figure.id == id), None)
    if id == RULE:
        links = {link.claim for link in judgement.chain.links} if judgement.chain else set()
        yield from _over_figures(desk, built, [v for v in waiting if v.claim.id in links])
        yield from _rule(desk, built)
    elif shown is not None:
        yield from figures.told(desk, built, shown)
        mine = [v for v in waiting if v.claim.figure == id and v.claim.id not in desk.said]
        # The chain tells what the rule's makers say: their reasons wait for it.
        own = [v for v in mine if RULE not in placed or v.claim.said_by != "rule"]
        yield from _claims(desk, f"more-{id}", own)
    else:
        yield from _over_figures(desk, built, [judgement.verdict(id)])


def _over_figures(desk: Desk, built: TalkPlan, verdicts: list[Verdict]) -> Iterator[Part]:
    """Claims in turn, each over its figure where that was not shown and has no place of its own."""
    placed = desk.judgement.study.description.order
    for verdict in verdicts:
        over = next(
            (f for f in desk.judgement.figures if f.figure.id == verdict.claim.figure), None
        )
        if verdict.claim.id in desk.said:
            continue
        if over is not None and over.figure.id not in {*placed, *desk.shown}:
            yield from figures.told(desk, built, over, verdict)
        if verdict.claim.id not in desk.said:
            yield from _claims(desk, f"claim-{verdict.claim.id}", [verdict])


def _claims(desk: Desk, id: str, verdicts: list[Verdict]) -> Iterator[Part]:
    """Claims on cards, one after another, in a part that has the name of the first."""
    if not verdicts:
        return
    shots: list[tuple[Screen, list[Line]]] = []
    for verdict in verdicts:
        rank = KEY if verdict.claim.id in desk.key else OTHER
        shots += _claim_shots(desk, verdict, rank, [], READING)
    title = desk.words.claims[verdicts[0].claim.id].plainly.rstrip(".")
    yield part(id, title, shots, map(found, verdicts))


def _rest(desk: Desk, built: TalkPlan) -> Iterator[Part]:
    """Claims that were not spoken of yet."""
    rest = [v for v in desk.judgement.verdicts if v.claim.id not in desk.said]
    if not rest:
        return
    name = "rest" if len(rest) > 1 else "rest.one"
    lead = [Line(desk.tell(name, "rest"), OTHER)]
    shots: list[tuple[Screen, list[Line]]] = []
    for verdict in rest:
        shots += _claim_shots(desk, verdict, OTHER, [] if shots else lead, READING)
    yield part("rest", "What else is claimed", shots, map(found, rest))


def _claim_shots(
    desk: Desk, verdict: Verdict, rank: int, before: list[Line], plainly: int
) -> list[tuple[Screen, list[Line]]]:
    """A claim on a card, and what the data say to it on the next step."""
    words = desk.words.claims[verdict.claim.id]
    card = Card(saying(verdict.claim), verdict.claim.sentence, (Row(words.label),))
    of = desk.card(f"claim-{verdict.claim.id}", card, verdict)
    # Both are said, or none: an answer to what nobody heard is none.
    quoted = quote(desk, verdict, rank, key=found(verdict), how="more")
    said = replace(plainer(desk, verdict, plainly), needs=found(verdict))
    finding = says(desk, verdict, rank)
    word = in_a_word(desk, verdict, READING)
    after = [
        finding, replace(word, needs=found(verdict)),
        *(Line(text, LIMITS, needs=found(verdict)) for text in because(desk, verdict)),
        *own_lines(desk, verdict.claim, found(verdict)),
    ]  # fmt: skip
    asked = guess_first(desk, verdict.claim, quoted)
    return [(Screen(of, 0), [*before, quoted, said, *asked]), (Screen(of, 1), after)]


def _rule(desk: Desk, built: TalkPlan) -> Iterator[Part]:
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
    shots = [(Screen(of, 0), [Line(desk.tell("rule", "rule", change=stop(rule.change)), KEY)])]
    for place, link in enumerate(links, start=1):
        kind = "first" if place == 1 else "last" if place == len(links) else ""
        facts = {"plainly": stop(claims[link.claim].plainly),
                 "carries": _carries(desk, desk.judgement.verdict(link.claim))}  # fmt: skip
        said = desk.tell(f"link.{kind}".rstrip("."), link.claim, **facts)
        lines = [Line(said, READING, key="links", needs="chain")]
        if link.therefore:
            name = "therefore.first" if place == 1 else "therefore"
            said = desk.tell(name, link.claim, therefore=link.therefore)
            lines.append(Line(said, LIMITS, key="steps", needs="links"))
        shots.append((Screen(of, min(place, MOST_ROWS)), lines))
    if desk.words.chain and chain is not None:
        weakest = next((n for n, link in enumerate(links, 1) if link.weakest), 0)
        more = {"place": weakest, "count": len(links), "code": chain.code,
                "plainly": stop(claims[chain.weakest].plainly),
                "carries": _carries(desk, desk.judgement.verdict(chain.weakest))}  # fmt: skip
        said = desk.tell("chain", "chain", **more)
        shots.append((Screen(of, TAKEAWAY), [Line(said, KEY, key="chain")]))
    shots[-1][1].extend(own_lines(desk, rule, "chain" if desk.words.chain else ""))
    yield part("rule", "The rule and its reasons", shots, ["chain"] if desk.words.chain else [])


def _carries(desk: Desk, verdict: Verdict) -> str:
    """What the data say to a reason, in a few words."""
    return desk.fragment(f"carries.{verdict.code}", about=verdict.code,
                         cannot_answer=cannot_answer(verdict))


def _stated(desk: Desk, built: TalkPlan) -> Iterator[Part]:
    """The report's own arithmetic: what does not hold, with the figures on the card; where all
    that could be worked out again does, one sentence."""
    pairs = list(zip(desk.judgement.stated, desk.words.stated, strict=False))
    wrong = [(c, said) for c, said in pairs if c.agrees is False or c.possible is False]
    if not wrong:
        yield from _sums_hold(desk, [said for c, said in pairs if c.agrees])
        return
    rows = tuple(Row(said) for _, said in wrong[:2])
    of = desk.card(
        "arithmetic", Card("The report’s own arithmetic", "Printed, and worked out again", rows)
    )
    shots = [(Screen(of, 0), [Line(desk.tell("stated", "stated"), OTHER, key="sums")])]
    for place, (check, _) in enumerate(wrong[:2], start=1):
        name = "stated.impossible" if check.possible is False else "stated.differs"
        what = re.sub(r"^the (?=\w)", "", check.what, flags=re.IGNORECASE)  # "Work out the …"
        said = desk.tell(name, check.what, what=what)
        shots.append((Screen(of, place), [Line(said, OTHER if place == 1 else READING,
                                               key=f"sum {place}", needs="sums")]))  # fmt: skip
    yield part("arithmetic", "The report’s own arithmetic", shots, ["sum 1", "sum 2"])


def _sums_hold(desk: Desk, agreed: list[str]) -> Iterator[Part]:
    if not agreed:
        return
    rows = tuple(Row(said) for said in agreed[:MOST_ROWS])
    title, kicker = "The report’s own arithmetic", "Printed, and worked out again"
    of = desk.card("arithmetic", Card(title, kicker, rows))
    said = desk.tell("stated.agrees", "stated", count=len(agreed))
    yield part("arithmetic", title, [(Screen(of, len(rows)), [Line(said, OTHER)])])


def _answer(desk: Desk, built: TalkPlan) -> Iterator[Part]:
    """Back to the question: what was found, how sure that is, and what it does not reach."""
    told = list(_in_turn(desk, built))
    if not told:
        said = desk.spoken(desk.words.answer)
        of = desk.card("answer", Card("The answer", said))
        yield part("answer", "The answer", [(Screen(of, 0), [Line(said, ALWAYS)])])
        return
    lead = told[0]
    heard = desk.heard(lead)
    # Claims of one answer may rest on different items: then no one number is that of all.
    balls = heard["balls"] if len({v.n_items for v in told}) == 1 else ""
    back = desk.tell("back", "answer", balls_told=balls)
    recap = _recap(desk, lead)
    sure = desk.hear(["sure.sized", f"sure.{lead.code}"], lead)
    limit, by = _limit(desk, built, told, balls)
    more = [_recap(desk, v) for v in told[1:] if v is not by and not _mirrors(desk, v, lead)]
    rows = tuple(Row(_row(text)) for text in (recap, sure, *more, limit) if text)
    of = desk.card("answer", Card("The answer", desk.facts["question"], rows), *told)
    shots = [
        (Screen(of, place), [Line(text, ALWAYS, key="answer")])
        for place, text in enumerate((t for t in (recap, sure, *more, limit) if t), start=1)
    ]
    brief = desk.tell("back.brief", "answer", balls_told=balls)
    shots[0][1].insert(0, Line(back, ALWAYS, key="answer", brief=brief))
    yield part("answer", "The answer", shots, ["answer"])


def _in_turn(desk: Desk, built: TalkPlan) -> Iterator[Verdict]:
    """The claim of the reveal, then what else the question turns on."""
    first = built.lead
    if first is not None and built.turn is None and built.lumped:
        first = built.twist or first
    if first is not None:
        yield first
    yield from (v for v in key_verdicts(desk.judgement) if v is not first)


def _recap(desk: Desk, verdict: Verdict) -> str:
    kinds = ["any"] if len(verdict.parts) > 1 else [verdict.test.kind, "any"]
    return desk.hear([f"recap.{kind}.{verdict.code}" for kind in kinds], verdict)


def _mirrors(desk: Desk, verdict: Verdict, lead: Verdict) -> bool:
    """Whether a claim says what the first one does, turned round."""
    one, other = desk.heard(verdict), desk.heard(lead)
    return bool(one["contrary"] == other["clause"] or one["clause"] == other["contrary"])


def _limit(
    desk: Desk, built: TalkPlan, told: list[Verdict], balls: str
) -> tuple[str, Verdict | None]:
    """What the answer does not reach, and the claim that is told by that: what the twist leaves
    open, else the part of the question that is open, else how few stand behind it."""
    lead, rest = told[0], told[1:]
    opened = next((v for v in rest if v.code not in ("backed", "against")), None)
    twist = built.twist
    if twist is not None and twist is not lead and twist.code in UNANSWERED:
        opened = twist
    facts = desk.heard(opened or lead)
    plainly = stop(desk.words.claims[(opened or lead).claim.id].plainly)
    known = {"clause": facts["clause"], "plainly": plainly, "opened": opened is not None,
             "leaning": opened is not None and opened.code == "leans",
             "balls_told": balls,
             "data": opened is None or "not-a-data-question" not in opened.reasons}  # fmt: skip
    return desk.tell("limit", "limit", **known), opened


def _row(text: str) -> str:
    """What a card shows of what is said: the same words but for the question they answer."""
    return " ".join(s for s in split(in_words(text)) if not s.endswith("?")) or text


def _night(desk: Desk, built: TalkPlan) -> Iterator[Part]:
    advice = desk.judgement.study.description.advice[:MOST_ROWS]
    if not advice:
        return
    said = [plain(fill(a.do, desk.judgement)) for a in advice]
    card = Card("What now?", "What to do with this", tuple(Row(s) for s in said))
    of = desk.card("advice", card)
    shots = [(Screen(of, 0), [Line(desk.tell("night", "advice"), NIGHT)])]
    shots += [
        (Screen(of, i), [Line(text, NIGHT if i == 1 else OWN, "own", key=f"do {i}")])
        for i, text in enumerate(said, start=1)
    ]
    yield part(
        "advice", "What to do with this", shots, [f"do {i}" for i in range(1, len(said) + 1)]
    )


def _cautions(desk: Desk, built: TalkPlan) -> Iterator[Part]:
    """What may hurt somebody who does as the study speaks of, right after what to do."""
    warned = cautions(desk.judgement, desk.teller)
    if warned is None:
        return
    of = desk.card("cautions", Card("Take care", warned.lead.rstrip(".")))
    lines = [
        Line(" ".join((warned.lead.replace(".", ":"), *warned.told)), TURN, brief=warned.brief)
    ]
    yield part("cautions", "Before anyone tries it", [(Screen(of, 0), lines)])


def _open(desk: Desk, built: TalkPlan) -> Iterator[Part]:
    asked = desk.words.questions[:MOST_QUESTIONS]
    if not asked:
        return
    of = desk.card(
        "open", Card("Still open", "What this study leaves open", tuple(Row(q[0]) for q in asked))
    )
    shots = [(Screen(of, 0), [Line(desk.tell("open", "open"), GUESS)])]
    for place, (ask, _, settled) in enumerate(asked, start=1):
        rank = GUESS if place == 1 else OTHER
        claim = desk.words.questioned[place - 1] if desk.words.questioned else ""
        said = _settled(desk, without_the_question(settled, ask), claim, place)
        shots.append((Screen(of, place), [
            Line(ask, rank, key=f"asked {place}"), Line(said, OTHER, needs=f"asked {place}"),
        ]))  # fmt: skip
    yield part("open", "What nobody knows yet", shots, ["asked 1", "asked 2"])


def _settled(desk: Desk, settled: str, claim: str, nth: int) -> str:
    """What would settle a question, as somebody can say it: in full, or how many it would take."""
    needed = ""
    if claim and re.search(r"\d", settled):
        verdict = desk.judgement.verdict(claim)
        needed = _needed(verdict, desk.heard(verdict))
    long = any(said_words(in_words(s)) > MOST_WORDS for s in split(settled))
    if needed or long or re.search(r"\d\.\d|\d.*\d", settled):
        return desk.tell("needed", f"needed {nth}", needed=needed) if needed else ""
    return desk.tell("settle", f"settle {nth}", settled=settled) if settled else ""


def _close(desk: Desk, built: TalkPlan) -> Iterator[Part]:
    """One request to whoever listens, and the author's last words."""
    author: Bookends = frame(desk.judgement)
    of = desk.card("close", Card("Over to you", desk.facts["question"]))
    asked = bool(desk.words.questions)
    request = plain(author.request)
    ours = desk.tell("request", "close", asked=asked), desk.tell("request.brief", "close")
    lines = [
        Line(_answered(desk, built, author), GUESS),
        Line(request, GUESS, "own") if request else Line(ours[0], GUESS, brief=ours[1]),
        Line(plain(author.next), OWN, "own"), Line(plain(author.outro), OWN, "own"),
    ]  # fmt: skip
    yield part("close", "Over to you", [(Screen(of, 0), lines)])


def _answered(desk: Desk, built: TalkPlan, author: Bookends) -> str:
    """The running question again, with what the data say to it: a claim's verdict, or that of the
    claim the study's question turns on; or with the author's own answer, told as that."""
    asked = plain(author.running_question)
    if author.answer:
        return desk.tell("answered.own", "running", asked=asked, answer=stop(plain(author.answer)))
    if not asked:
        return ""
    lead = next(_in_turn(desk, built), None)
    by = desk.judgement.verdict(author.answered_by) if author.answered_by else lead
    if by is None:
        return ""
    return desk.tell("answered", "running", asked=asked, answer=_recap(desk, by),
                     open=by.code == "leans")  # fmt: skip


Make = Callable[[Desk, TalkPlan], Iterator[Part]]

#: The talk, from the first word to the last.
PARTS: tuple[Make, ...] = (
    _opening, _tested, _told, _answer, _night, _cautions, _open, _close,
)  # fmt: skip
#: What stands between the question and the answer, where the author asks for no other order.
OURS: tuple[Make, ...] = (
    figures.reveal, _also, figures.setup, figures.turn, _turn, figures.others, _rest, _rule,
    _stated,
)  # fmt: skip


def _named_once(parts: list[Part]) -> Iterator[Part]:
    """The parts with a number behind a name that stood before."""
    seen: dict[str, int] = {}
    for made in parts:
        seen[made.title] = seen.get(made.title, 0) + 1
        count = seen[made.title]
        yield replace(made, title=f"{made.title}, part {count}") if count > 1 else made
