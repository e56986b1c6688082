"""The edges: command line, case and plan files, the demonstration."""
