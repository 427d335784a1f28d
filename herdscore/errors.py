"""An error a person can act on."""

from __future__ import annotations


class Problem(Exception):
    """What went wrong, why, and what to do about it, in plain words.

    Raised for faults of the environment or of a file; anything else that is raised is a fault of the program.
    """

    def __init__(self, what: str, why: str = "", what_to_do: str = "") -> None:
        """Keep the three sentences apart so that a message bar can weigh them."""
        super().__init__(" ".join(part for part in (what, why, what_to_do) if part))
        self.what = what
        self.why = why
        self.what_to_do = what_to_do
