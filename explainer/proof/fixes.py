"""What to mend first, and how: one row for each kind of weakness."""

from __future__ import annotations

from explainer.errors import Problem

#: The way to mend each kind of weakness, weightiest first.
FIXES: dict[str, str] = {
    "too-strong": "say it with the verdict: `backs`, `points to`, `may`, `can't tell`",
    "names-shown": "ask everybody who is named, or take the line away: initials then stand there",
    "name-in-text": "write the initials, or say it of nobody by name",
    "may-name-somebody": "rename it if it is the person's name, or leave it if it is just the word",
    "maybe-somebody": "hide or rename it if it is a person's name, or leave it if it is not",
    "strongest-untold": "write `answers_question: yes` on it, or `no` if you ask something else",
    "other-unit": "look the sentence up: which unit does the report count in?",
    "to-confirm": "check the line, mend it if need be, then take the mark away",
    "quotes-nobody": "write the sentence in `report_says:`, or take the claim out",
    "verdict-moved": "read the reason on the page, and note it under `corrections:` if you publish",
    "key-changed": "write what is asked for, or leave it if that is what you mean",
    "untested-link": "give the claim a test, or say with `opinion:` on it what you make of it",
    "derived-gauge": "give each of its two measures `repeatability_sd`, or the test `u`",
    "narrow-zone": "give the rule `u` as the gauge test finds it, or measure the gauge again",
    "no-reasons": "list the ids of the claims under `reasons`, in the order they build on",
    "unpaired": "write `within:` and the column of what counts as one, or name the two sides apart",
    "too-few": "expect `can't tell`, or ask in `questions` what the claim says, with how many in "
    "`settled_by`",
    "no-margin": "write `matters_from:` and a size in the measure's unit, or ask a coach for one",
    "wide-margin": "look the size up: it is in the measure's own unit",
    "kinds-near": "give it that test, or leave it: the page then says why it was not tested",
    "no-page": "look the page up, or the number of `pages` under `report`",
    "no-margin-r": "write `margin: 0.3` in the test, or whatever link you would shrug at",
    "unit-unfit": "write the unit the report uses, or give the measure the term that fits it",
    "misplaced": "look it up in the report, and mend the cell or leave it as it is",
    "unit-mixed": "look the unit up: `units: {MEASURE: UNIT}` converts a whole table",
    "gap-filled": "name the mark under `missing:` of the table, or leave it as it is",
    "spelled-twice": "write one spelling throughout, if it is one and the same",
    "named-twice": "look the readings up, and take one of the two out",
    "finer-item": "name what was picked under `tested: {each: …}`, and the shot as `order`",
    "table-copied": "look the table up: one of the two may have been pasted by mistake",
    "pasted-twice": "take one of them out, or number repeat readings in a column of their own",
    "unreachable": "look the limit up, and the measure's `lowest` and `highest`",
    "two-us": "look up how far a reading may be off, and write that number wherever one is given",
    "no-number": 'write it as printed, in quotes: "71.40"',
    "typed-number": "write {CLAIM.estimate}, {CLAIM.to} or the like, and it is worked out for you",
    "guess-settled": "tell it under `say:`, with the numbers of the claim",
    "no-stops": "write `like: {what: …, stops: …}`",
    "no-claims": "add one: the report's sentence, and a test",
    "no-figures": "add one: an id, a kind, a table and what goes up the side",
    "unshown": "add a figure of the same measure, or name one with `figure:`",
    "no-source": 'add `source: "Table 2, page 5"`',
    "unsaid": "add `say:` and a sentence of your own",
    "no-term": "use a glossary term, or add an entry to glossary/ in your workspace",
    "jargon": "use an everyday word, or add an entry to glossary/ in your workspace",
    "hard-to-read": "cut it into shorter sentences, with shorter words",
    "answers": "give the other study's question an `id:`, and name it study-id/question-id",
    "refused-link": "link to an https address",
}
_RANK = {code: rank for rank, code in enumerate(FIXES)}


def importance(problem: Problem) -> tuple[bool, int, bool, str, int, int, int, str]:
    """Sorts errors before warnings; errors by place, warnings by weight, then by place."""
    error = problem.severity == "error"
    return (
        not error,
        0 if error else _RANK.get(problem.code, len(_RANK)),
        problem.file != "study.yaml",
        problem.file,
        problem.line,
        problem.row or 0,
        problem.column,
        problem.found,
    )


def fix(problem: Problem) -> str:
    """A way to mend the problem, empty where its own line says all there is to say."""
    return FIXES.get(problem.code, "")
