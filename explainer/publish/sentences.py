"""Which test for which sentence: what reports say, and the kind of claim that holds it to account.

The handbook's way in for an author who has a sentence before them and many kinds to choose from.
"""

from __future__ import annotations

from explainer.study.description.tests import kinds

#: A sentence as a report may say it, the ``kind`` of its test, and what tells it from its neighbor.
SENTENCES: tuple[tuple[str, str, str], ...] = tuple(
    (sentence, name, hint)
    for name, model in kinds().items()
    for sentence, hint in model.sentences
)
