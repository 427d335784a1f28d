"""What the trade knows: NumPy and the standard library only, no files, no clock, no window."""
