"""What is kept: tables of constants with their sources."""
