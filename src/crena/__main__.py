"""Run the command line: `python -m crena`."""

from crena.app.cli import main

if __name__ == "__main__":
    main()
