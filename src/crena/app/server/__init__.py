"""The server of the workbench: HTTP in, records out; it decides nothing itself."""
