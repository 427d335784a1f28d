"""Tests of the parts of the screen: they get plain values and no file."""
