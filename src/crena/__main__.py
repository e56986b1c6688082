"""`python -m crena`: the command line. Processes that are started beside it load none of it."""

if __name__ == "__main__":
    from crena.app.cli import main

    main()
