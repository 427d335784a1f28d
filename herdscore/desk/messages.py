"""What the desk and the pages have to say: a claim, what stands behind it, and perhaps something to press."""

from __future__ import annotations

from dataclasses import dataclass

from herdscore.errors import Problem

PROBLEM, NOTE = "problem", "note"


@dataclass(frozen=True)
class Message:
    """One message for the bar; `action` is a key the window knows, `action_words` stand on its button."""

    kind: str
    claim: str
    rest: str = ""
    action: str = ""
    action_words: str = ""


def of_problem(problem: Problem, action: str = "", action_words: str = "") -> Message:
    """A fault of the environment or a file as a message."""
    rest = " ".join(part for part in (problem.why, problem.what_to_do) if part)
    return Message(PROBLEM, problem.what, rest, action, action_words)


def note(claim: str, rest: str = "", action: str = "", action_words: str = "") -> Message:
    """Something that is not a fault."""
    return Message(NOTE, claim, rest, action, action_words)
