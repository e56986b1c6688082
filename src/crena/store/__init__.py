"""Cases that are never lost: database, files, audit, backup; and the tables of constants."""
