"""The herd file: tables and journal in one SQLite database."""
