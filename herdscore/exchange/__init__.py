"""Sheets in and out; the only room that knows spreadsheet libraries."""
