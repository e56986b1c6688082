"""The room of one file per construction that closes the wound."""
