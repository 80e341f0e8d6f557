"""``python -m explainer`` is the command ``explainer``."""

if __name__ == "__main__":
    from explainer.cli import main

    main()
