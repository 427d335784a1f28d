"""One change as a step of the undo stack."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtGui import QUndoCommand
from typing_extensions import override

from herdscore.domain.changes import Change
from herdscore.errors import Problem


class Edit(QUndoCommand):
    """One change as an undo step. A write that fails takes the step off the stack and is told to `on_problem`.

    With `done` the change is in the file already, and the first redo does nothing.
    """

    def __init__(
        self,
        change: Change,
        words: str,
        write: Callable[[Change], None],
        on_problem: Callable[[Problem, Edit, bool], None],
        *,
        done: bool = False,
    ) -> None:
        super().__init__(words)
        self.change = change
        self.words = words
        self.went_through = done
        self._write = write
        self._on_problem = on_problem
        self._skip = done

    @override
    def redo(self) -> None:
        if self._skip:
            self._skip = False
        else:
            self._try(self.change, undoing=False)

    @override
    def undo(self) -> None:
        self._try(self.change.inverse(), undoing=True)

    def _try(self, change: Change, *, undoing: bool) -> None:
        try:
            self._write(change)
        except Problem as problem:
            self.went_through = False
            # Left on the stack it would be a phantom: a step that never happened.
            self.setObsolete(True)
            self._on_problem(problem, self, undoing)
        else:
            self.went_through = True
