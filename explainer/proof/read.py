"""``explainer proof``: everything wrong or weak in a study, found without writing anything."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path
from typing import Any

from explainer.claims.verdict import Judgement, Verdict
from explainer.errors import Problem, StudyError
from explainer.proof import facts
from explainer.proof.fixes import importance
from explainer.proof.place import Keys, Places
from explainer.proof.prose import own_words, prose
from explainer.proof.somebody import maybe_somebody
from explainer.study.description.tests import RateDifference
from explainer.study.files import FileFault, read_file, sound_json
from explainer.study.load import DESCRIPTION, UNQUOTED, load_study, to_confirm as marks_in
from explainer.study.model import Workspace
from explainer.words.glossary.entries import Glossary
from explainer.words.page.prose import fill
from explainer.words.say import say
from explainer.words.script.desk import MOST_QUESTIONS, MOST_ROWS, plain
from explainer.words.script.measure import MOST_WORDS
from explainer.words.script.talk_of_study import say_script

# What an author wrote to be told and the longest script does not speak, and where it would.

#: Keys whose words are for the page and the sheets: a name, a clause, what a card lists.
_NOT_SPOKEN = frozenset({"title", "question", "plainly", "as_clause", "affects", "reading"})


def untold_aloud(judgement: Judgement, glossary: Glossary, places: Places) -> Iterator[Problem]:
    """The author's sentences that the script leaves out, each with where it would speak it."""
    words = say(judgement, judgement.study.workspace.settings.audience)
    talk = say_script(judgement, words)
    spoken = _bare(" ".join(line.text for shot in talk.shots for line in shot.lines))
    for path, text, _ in own_words(judgement):
        if path[-1] in _NOT_SPOKEN or _bare(plain(fill(text, judgement))) in spoken:
            continue
        yield places.weak(
            path, f"`{path[-1]}`, which the script does not speak", _where(path),
            "the page has it, and a talk from the script goes without", "not-spoken",
        )  # fmt: skip


def _where(path: Keys) -> str:
    if path[0] == "questions" and path[-1] == "settled_by":
        return (f"a sentence of at most {MOST_WORDS} words, with one number and no decimals, and "
                f"one of the first {MOST_QUESTIONS} questions: that is spoken")  # fmt: skip
    if path[0] == "questions":
        return f"it among the first {MOST_QUESTIONS} questions: those are asked aloud"
    if path[0] == "advice":
        return f"it among the first {MOST_ROWS} things to do: those are said"
    return "it in the `say` of a figure or a claim: that is spoken"


def _bare(text: str) -> str:
    """Letters and figures alone, so that a stop or a quotation mark makes no difference."""
    return " ".join(re.findall(r"\w+", text.casefold()))


MARKED = "to-confirm"
QUOTES_NOBODY = "quotes-nobody"


def proofread(folder: Path, workspace: Workspace) -> tuple[Problem, ...]:
    """Every problem of the study, errors and warnings, in the order to mend them.

    A sound study is also judged, said and set once, so that what shows only there shows here.
    """
    try:
        study = load_study(folder, workspace)
    except StudyError as fault:
        return in_order(fault.problems)
    from explainer.claims.judge import judge
    from explainer.editions.compose import compose
    from explainer.editions.page import render_page
    from explainer.words.glossary.of_study import glossary_for

    found = [*study.warnings, *to_confirm(folder), *in_own_words(workspace)]
    try:
        judgement, glossary = judge(study), glossary_for(study)
        render_page(compose(judgement), glossary, workspace.template_folders)
    except StudyError as fault:
        faults = (Places(study).pinpointed(problem) for problem in fault.problems)
        return in_order((*faults, *found))
    places = Places(study)
    for check in CHECKS:
        try:
            found += check(judgement, glossary, places)
        except StudyError as fault:  # what cannot be said here must not stop what comes after
            found += map(places.pinpointed, fault.problems)
    return in_order(found)


def in_own_words(workspace: Workspace) -> Iterator[Problem]:
    """Says that results are told with templates that are not ours, whose conditions are not
    either; and of what only looks so."""
    from explainer.editions.own_words import listed, own_templates, unheard_templates

    if names := own_templates(workspace.template_folders):
        yield Problem(
            f"templates/{names[0]}", severity="warning", code="own-words",
            found=f"a workspace that tells results with templates of its own: {listed(names)}",
            expected="whoever reads its pages to know",
            hint="these are checked for what they can do and not for whether they are true",
            happens="the end of each page says so",
        )  # fmt: skip
    if names := unheard_templates(workspace.template_folders):
        yield Problem(
            f"templates/{names[0]}", severity="warning", code="own-words",
            found=f"words of a language: {listed(names)}",
            expected="sentences of your own in templates/phrases",
            happens="what we publish is in English, and these are not read",
        )  # fmt: skip


def in_order(problems: Iterable[Problem]) -> tuple[Problem, ...]:
    """Problems in the order to mend them: errors as they stand, then the weightier warnings.

    A mark to confirm is left out where another problem of the same line says what is missing.
    """
    every = dict.fromkeys(problems)
    lines = {(p.file, p.line) for p in every if p.code != MARKED and p.row is None}
    kept = (p for p in every if p.code != MARKED or (p.file, p.line) not in lines)
    return tuple(sorted(kept, key=importance))


def to_confirm(folder: Path) -> Iterator[Problem]:
    """What a draft guessed and nobody has looked at yet."""
    text = (folder / DESCRIPTION).read_text(encoding="utf-8", errors="replace")
    lines = text.splitlines()
    for line, column, what in marks_in(text):
        open_one = UNQUOTED in lines[line - 1] and not what
        yield Problem(
            DESCRIPTION,
            line,
            column,
            found="a drafted claim that quotes nobody" if open_one
            else "a guess of the draft marked CONFIRM",
            expected="the report's own sentence, or the claim taken out" if open_one
            else f"your answer to it: {what}" if what else "that somebody has looked at it",
            happens="it is published as it was guessed, and the page says so",
            severity="warning",
            code=QUOTES_NOBODY if open_one else MARKED,
        )  # fmt: skip


Check = Callable[[Judgement, Glossary, Places], Iterator[Problem]]


# --- Verdicts that a published page gives and this version does not: what moved, and why.
#
# The last published results stand in the site's own folder (``site/STUDY/results.json``), with the
# version that wrote them.  Where the data and the description are the same, another verdict comes
# from another rule, and its author has to know before readers do.

#: A results file larger than this is none of ours.
MAX_BYTES = 20_000_000
#: Where `explainer publish` puts a site unless told otherwise.
SITE = "site"


def verdicts_moved(judgement: Judgement, glossary: Glossary, places: Places) -> Iterator[Problem]:
    """Each claim whose verdict differs from the one on the published page over the same data."""
    before = _published(judgement)
    if before is None or before.get("data_sha256") != _digests(judgement):
        return
    old = {c["id"]: c for c in before["claims"] if isinstance(c, dict) and "id" in c}
    for place, claim in enumerate(judgement.study.description.claims):
        verdict, was = judgement.verdict(claim.id), old.get(claim.id)
        if was is None or was.get("test") != verdict.test.kind:
            continue
        if was.get("verdict") == verdict.code:
            continue
        written = before.get("explainer", "another version")
        yield places.weak(
            ("claims", place, "id"),
            f"the verdict `{verdict.code}` for `{claim.id}`, where the published page says "
            f"`{was.get('verdict')}` (written by {written})",
            "a look at why it moved", _why(verdict, was), "verdict-moved",
        )  # fmt: skip


def _published(judgement: Judgement) -> dict[str, Any] | None:
    """The last published results of this study; None where there are none that can be read."""
    study = judgement.study
    folder = study.workspace.root / SITE / study.id
    if not folder.is_dir():
        return None
    try:
        record = sound_json(read_file(folder, "results.json", MAX_BYTES))
    except (FileFault, ValueError, RecursionError):
        return None
    return record if isinstance(record, dict) and isinstance(record.get("claims"), list) else None


def _digests(judgement: Judgement) -> dict[str, str]:
    return judgement.study.data_sha256


def _why(verdict: Verdict, was: dict[str, Any]) -> str:
    """The reasons that came and went, or the numbers that did."""
    before = set(was.get("reasons") or ())
    came = [r for r in verdict.reasons if r not in before]
    gone = sorted(before - set(verdict.reasons))
    said = [f"new: {', '.join(came)}"] if came else []
    said += [f"no longer: {', '.join(gone)}"] if gone else []
    if was.get("method") != verdict.method and verdict.method:
        said.append(f"worked out by {verdict.method}")
    return f"the page will say so ({'; '.join(said) or 'the rule itself is another one'})"


def keys_changed(judgement: Judgement, glossary: Glossary, places: Places) -> Iterator[Problem]:
    """Keys that once meant something else, with what to write now."""
    claims = judgement.study.description.claims
    if any(c.is_key for c in claims) and not any(
        c.answers_question in (True, "yes") for c in claims
    ):
        place = next(i for i, c in enumerate(claims) if c.is_key)
        yield places.weak(
            ("claims", place, "key"), "`key` without any `answers_question`",
            "`answers_question: yes` on the claims that the question turns on",
            "`key` says which findings are the report's main ones, no longer what is told first",
            "key-changed",
        )  # fmt: skip
    for i, claim in enumerate(claims):
        for j, test in enumerate(claim.all_tests):
            verdict = judgement.verdict(claim.id).each[j]
            if isinstance(test, RateDifference) and getattr(verdict.detail, "n_strata", None):
                key = "tests" if claim.test is None else "test"
                alone = key == "test" and not isinstance(claim.test, tuple)
                path = ("claims", i, key) if alone else ("claims", i, key, j)
                yield places.weak(
                    (*path, "within"), f"`within: {test.within}`, whose parts are strata",
                    f"`tested: {{each: {test.within}}}` if each {test.within} is one of the sample",
                    "what is counted is people, compared within each part", "key-changed",
                )  # fmt: skip


#: What is looked at once a study is sound, in addition to the checks of its own stage.
CHECKS: tuple[Check, ...] = (
    facts.names_shown,
    facts.names_in_text,
    maybe_somebody,
    facts.terms,
    facts.use_terms,
    facts.units_fit,
    facts.limits_on_derived,
    facts.printed_numbers,
    facts.chain,
    facts.narrow_zone,
    facts.no_short_name,
    facts.ways_turned,
    facts.words_of_direction,
    facts.directions_swapped,
    facts.too_few,
    facts.unpaired,
    facts.margins,
    facts.strongest_told,
    facts.groups_held,
    facts.amounts_in_units,
    facts.asides_apart,
    facts.kinds_near,
    facts.answers,
    verdicts_moved,
    keys_changed,
    untold_aloud,
    prose,
)
