"""Work beside the window, in lanes: one for the herd file, one for sums on values, one for what comes ahead.

A job takes values, never widgets; its signals are sent on the window's thread.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Iterator
from typing import Any

from PySide6.QtCore import QObject, Qt, QThreadPool, QTimer, Signal, Slot
from typing_extensions import override

from herdscore.errors import Problem

Report = Callable[[int, int, str], None]
_TELL_EVERY = 0.05  # s between two reports that reach the window


class Cancelled(Exception):
    """Raised inside a job that was asked to stop."""


class Job(QObject):
    """`function(*args, report)` run once; it ends with exactly one of finished, failed, cancelled.

    `progressed(done, total, text)` comes at most every 50 ms.
    """

    progressed = Signal(int, int, str)
    finished = Signal(object)
    failed = Signal(object)
    cancelled = Signal()
    _news = Signal(str, object)

    def __init__(self, function: Callable[..., Any], *args: Any) -> None:
        super().__init__()
        self._function = function
        self._args = args
        self._stop = threading.Event()
        self._told = 0.0
        self.is_over = False
        self._is_abandoned = False
        self._news.connect(self._on_news, Qt.ConnectionType.QueuedConnection)

    @property
    def is_stopping(self) -> bool:
        """Whether it was asked to stop."""
        return self._stop.is_set()

    def cancel(self) -> None:
        """Ask it to stop at its next report."""
        self._stop.set()

    def abandon(self) -> None:
        """Ask it to stop; however it ends, it is told as cancelled, for who asked for it may be gone."""
        self.cancel()
        self._is_abandoned = True

    def report(self, done: int, total: int, text: str = "") -> None:
        """Tell how far it is; raises Cancelled when asked to stop."""
        if self._stop.is_set():
            raise Cancelled
        now = time.monotonic()
        if now - self._told >= _TELL_EVERY:
            self._told = now
            self._news.emit("progressed", (done, total, text))

    def run(self) -> None:
        """Do the work on the thread that calls."""
        try:
            if self._stop.is_set():
                raise Cancelled
            result = self._function(*self._args, self.report)
        except Cancelled:
            self._news.emit("cancelled", None)
        except Exception as fault:  # told on the window's thread, where faults of the program are logged
            self._news.emit("failed", fault)
        else:
            self._news.emit("finished", result)

    @Slot(str, object)
    def _on_news(self, what: str, content: Any) -> None:
        if what == "progressed":
            if not self._stop.is_set():
                self.progressed.emit(*content)
            return
        self.is_over = True
        if self._is_abandoned or what == "cancelled":
            self.cancelled.emit()
        elif what == "finished":
            self.finished.emit(content)
        elif isinstance(content, Problem):
            self.failed.emit(content)
        else:
            self.failed.emit(
                Problem("That did not go through.", "It is a fault of this program.", "The log file says more.")
            )
            raise content


class StepJob(Job):
    """A job on the window's own thread, for what no other may do: `function(*args, report)` yields after each step.

    One step is taken in a turn of the event loop; each is to be short.
    """

    def __init__(self, function: Callable[..., Iterator[None]], *args: Any) -> None:
        super().__init__(function, *args)
        self._steps: Iterator[None] = iter(())
        self._turn = QTimer(self)
        self._turn.timeout.connect(self._take_step)

    @override
    def run(self) -> None:
        self._steps = self._function(*self._args, self.report)
        self._turn.start(0)

    @Slot()
    def _take_step(self) -> None:
        try:
            if self.is_stopping:
                raise Cancelled
            next(self._steps)
            return
        except StopIteration:
            self._news.emit("finished", None)
        except Cancelled:
            self._news.emit("cancelled", None)
        except Exception as fault:  # told as that of any other job
            self._news.emit("failed", fault)
        self._turn.stop()


class Jobs(QObject):
    """The lanes; in each, jobs run one after the other. `idle`: the last of them is over."""

    idle = Signal()

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._lanes = {name: QThreadPool(self) for name in ("herd", "sums", "ahead")}
        for lane in self._lanes.values():
            lane.setMaxThreadCount(1)
        self._open: list[Job] = []

    @property
    def running(self) -> int:
        """Jobs begun or waiting."""
        return len(self._open)

    def herd_lane(self, job: Job) -> Job:
        """Run a job that touches the herd file."""
        return self._start("herd", job)

    def sums_lane(self, job: Job) -> Job:
        """Run a job that works on values only."""
        return self._start("sums", job)

    def ahead_lane(self, job: Job) -> Job:
        """Run a job that brings along what will be wanted, while the window is used."""
        return self._start("ahead", job)

    def window_lane(self, job: StepJob) -> StepJob:
        """Run a job in steps on the window's own thread."""
        self._watch(job)
        job.run()
        return job

    def close(self) -> None:
        """Ask all to stop and wait for them; nothing is told any more."""
        for job in self._open:
            job.cancel()
        for lane in self._lanes.values():
            lane.waitForDone()
        for job in self._open:
            job.blockSignals(True)
        self._open.clear()

    def _start(self, lane: str, job: Job) -> Job:
        self._watch(job)
        self._lanes[lane].start(job.run)
        return job

    def _watch(self, job: Job) -> None:
        self._open.append(job)
        # Direct, so that a job counts as over before whoever listens next begins another.
        job.finished.connect(self._on_over)
        job.failed.connect(self._on_over)
        job.cancelled.connect(self._on_over)

    @Slot()
    def _on_over(self) -> None:
        self._open = [job for job in self._open if not job.is_over]
        if not self._open:
            self.idle.emit()
