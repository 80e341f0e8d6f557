"""``python -m explainer`` is the command ``explainer``."""

from explainer.cli import main

if __name__ == "__main__":
    main()
