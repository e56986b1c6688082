"""The command line, also as `python -m crena`.

Processes that are started beside it import this file anew, and load none of the program by it.
"""

from importlib import import_module


def main() -> None:
    """Run the command line."""
    import_module("crena.app.cli").main()


if __name__ == "__main__":
    main()
