"""Pieces of screen that draw what they are given."""
