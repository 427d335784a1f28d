"""One page of the window a file."""
