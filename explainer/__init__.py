"""From a bowling equipment study (CSV and YAML) to an explainer: seven stages, one direction.

read (``study``) → reanalyse (``analysis``) → judge (``claims``) → say (``words``)
→ draw (``charts``) → render (``editions``) → publish (``publish``).
"""

__version__ = "0.1.0"
