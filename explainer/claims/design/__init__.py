"""Second looks: what in a design can fool a verdict that its numbers alone would give.

Each look is a small function in its own file: it takes a case and the verdict its judge came to,
and says nothing, or what it found: reasons, what they leave of the verdict, and the numbers that
stand beside it.  The table of looks is in ``table.py``; what they find is a ``SecondLooks``
(``claims/verdict.py``).
"""
