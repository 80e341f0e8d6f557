"""What an author wrote to be told and the longest script does not speak, and where it would."""

from __future__ import annotations

import re
from collections.abc import Iterator

from explainer.claims.verdict import Judgement
from explainer.errors import Problem
from explainer.proof.place import Path, Places
from explainer.proof.prose import own_words
from explainer.words.glossary.entries import Glossary
from explainer.words.page.prose import fill
from explainer.words.say import say
from explainer.words.script.desk import MOST_QUESTIONS, MOST_ROWS, plain
from explainer.words.script.measure import MOST_WORDS
from explainer.words.script.talk_of_study import say_script

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


def _where(path: Path) -> str:
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
