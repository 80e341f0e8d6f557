"""``not-testable``: not a question for data, and the author's word why."""

from __future__ import annotations

from explainer.claims.build import Case, unsettled
from explainer.claims.verdict import Verdict
from explainer.study.description.tests import NotTestable


def judge(case: Case) -> Verdict:
    """Nothing to work out: the claim is listed and said to be open."""
    test = case.test
    assert isinstance(test, NotTestable)
    return unsettled(
        case,
        "not-tested",
        ["not-a-data-question"],
        detail={"because": test.because},
        method="not a question for data",
    )
