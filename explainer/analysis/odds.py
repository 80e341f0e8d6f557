"""How much likelier under one condition than under another, as a ratio of odds.

Where people (or balls) were picked by what became of them, as many cracked ones as whole ones, how
often it happens cannot be told from them; the ratio of the odds can (Cornfield 1951, J. Natl.
Cancer Inst. 11, 1269).  One table: Woolf's range on the log scale (Woolf 1955, Ann. Hum. Genet. 19,
251), with a half added to each cell where one is empty (Haldane 1956; Anscombe 1956).  Strata: the
Mantel–Haenszel ratio with the variance of Robins, Breslow & Greenland (1986, Biometrics 42, 311).
"""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt

from explainer.analysis.result import Estimate, Undefined, t_estimate

#: Degrees of freedom of the normal distribution.
NORMAL = 1e9


def log_odds_ratio(tables: npt.ArrayLike) -> Estimate | Undefined:
    """The log of the odds under a over the odds under b, from ``tables`` of (strata, 2, 2).

    Rows are a and b, columns successes and failures, every attempt another person.  Strata in
    which a row or a column is empty say nothing and are left out; ``n_items`` counts the people in
    the others.  Undefined: ``no-pairs`` where none is left, ``no-spread`` where the pooled ratio
    is 0 or infinite.
    """
    # As statsmodels' ``Table2x2`` and ``StratifiedTable``, which are no part of what is installed.
    cells = np.asarray(tables, dtype=np.float64)
    use = cells[(cells.sum(axis=1).min(axis=1) > 0) & (cells.sum(axis=2).min(axis=1) > 0)]
    people = int(use.sum())
    if not len(use):
        return Undefined("no-pairs", 0, "odds ratio")
    if len(use) == 1:
        table = use[0] + (0.5 if use.min() == 0 else 0.0)
        value = math.log(table[0, 0] * table[1, 1] / (table[0, 1] * table[1, 0]))
        se = math.sqrt(float((1 / table).sum()))
        return t_estimate(value, se, NORMAL, people, "odds ratio, Woolf's range")
    method = "Mantel–Haenszel odds ratio, range by Robins, Breslow and Greenland"
    total = use.sum(axis=(1, 2))
    along = (use[:, 0, 0] + use[:, 1, 1]) / total
    across = (use[:, 0, 1] + use[:, 1, 0]) / total
    r = use[:, 0, 0] * use[:, 1, 1] / total
    s = use[:, 0, 1] * use[:, 1, 0] / total
    whole_r, whole_s = float(r.sum()), float(s.sum())
    if whole_r <= 0 or whole_s <= 0:
        return Undefined("no-spread", people, method)
    variance = (
        float(along @ r) / (2 * whole_r**2)
        + float(along @ s + across @ r) / (2 * whole_r * whole_s)
        + float(across @ s) / (2 * whole_s**2)
    )
    return t_estimate(math.log(whole_r / whole_s), math.sqrt(variance), NORMAL, people, method)
