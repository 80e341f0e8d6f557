"""What the fork server loads once, so that no worker has to: everything that builds a study, and
what sets its pages on paper, where this computer has it."""

from explainer.editions.pdf import paper_lacks
from explainer.publish import build

__all__ = ["build"]

paper_lacks()
