"""Stage 2, reanalyse: arrays in, numbers with their likely ranges out; no words, no files.

Quantiles and tail areas come from ``scipy.special``.  ``scipy.stats`` and statsmodels hold the
tests themselves and are what ours are compared with (``tests/analysis``, digit by digit), but they
are not imported here: weighing a study takes 0.66 s of a processor, and importing ``scipy.stats``,
which statsmodels' tests import too, 0.41 s more.  Beside each function that a library has as well
stands what else speaks against it; statsmodels alone is 65 MB to install.  Where a method is more
than a formula (mixed models, weights by iteration), take theirs, imported where it is called.
"""
