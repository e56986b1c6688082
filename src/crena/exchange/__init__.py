"""Formats of other systems: calendar files and health records, records in and bytes out."""
