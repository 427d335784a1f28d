"""Jobs: each ends in exactly one way, on the window's thread, and can be asked to stop."""

from __future__ import annotations

import threading
from collections.abc import Iterator

import pytest
from PySide6.QtCore import QThread, QTimer
from pytestqt.exceptions import capture_exceptions
from pytestqt.qtbot import QtBot

from herdscore.desk.jobs import Cancelled, Job, Jobs, Report, StepJob
from herdscore.errors import Problem


@pytest.fixture
def jobs(qtbot: QtBot) -> Iterator[Jobs]:
    made = Jobs()
    yield made
    made.close()


def test_that_the_result_comes_on_the_thread_of_the_window(jobs: Jobs, qtbot: QtBot) -> None:
    worked_on: list[QThread] = []
    told_on: list[QThread] = []

    def work(number: int, report: Report) -> int:
        worked_on.append(QThread.currentThread())
        return number + 1

    job = Job(work, 1)
    job.finished.connect(lambda result: told_on.append(QThread.currentThread()))
    with qtbot.waitSignal(job.finished) as done:
        jobs.sums_lane(job)
    assert done.args == [2]
    assert told_on == [QThread.currentThread()]
    assert worked_on != told_on
    assert jobs.running == 0


def test_that_a_lane_runs_one_job_after_the_other_and_the_lanes_beside_each_other(jobs: Jobs, qtbot: QtBot) -> None:
    gate = threading.Event()
    order: list[str] = []

    def waiting(report: Report) -> None:
        gate.wait(5)
        order.append("first")

    def following(report: Report) -> None:
        order.append("second")

    first, second, beside = Job(waiting), Job(following), Job(lambda report: order.append("beside"))
    jobs.sums_lane(first)
    jobs.sums_lane(second)
    with qtbot.waitSignal(beside.finished):
        jobs.herd_lane(beside)
    assert order == ["beside"]
    gate.set()
    qtbot.waitUntil(lambda: jobs.running == 0)
    assert order == ["beside", "first", "second"]


def test_that_a_job_asked_to_stop_ends_at_its_next_report(jobs: Jobs, qtbot: QtBot) -> None:
    begun = threading.Event()
    job: Job

    def endless(report: Report) -> None:
        begun.set()
        while True:
            report(0, 0, "on and on")

    job = Job(endless)
    jobs.sums_lane(job)
    assert begun.wait(5)
    with qtbot.waitSignal(job.cancelled):
        job.cancel()
    assert jobs.running == 0


def test_that_a_job_stopped_before_its_turn_never_runs(jobs: Jobs, qtbot: QtBot) -> None:
    gate, ran = threading.Event(), []
    jobs.sums_lane(Job(lambda report: gate.wait(5)))
    late = jobs.sums_lane(Job(lambda report: ran.append(1)))
    late.cancel()
    with qtbot.waitSignal(late.cancelled):
        gate.set()
    assert ran == []


def test_that_a_problem_is_told_as_it_is(jobs: Jobs, qtbot: QtBot) -> None:
    def faulty(report: Report) -> None:
        raise Problem("The disk is full.")

    job = Job(faulty)
    with qtbot.waitSignal(job.failed) as failed:
        jobs.herd_lane(job)
    assert failed.args is not None
    assert failed.args[0].what == "The disk is full."


def test_that_a_fault_of_the_program_reaches_the_error_hook_and_frees_the_window(jobs: Jobs, qtbot: QtBot) -> None:
    def faulty(report: Report) -> None:
        raise ZeroDivisionError

    job = Job(faulty)
    with capture_exceptions() as caught, qtbot.waitSignal(job.failed):
        jobs.sums_lane(job)
    assert [kind for kind, _, _ in caught] == [ZeroDivisionError]
    assert jobs.running == 0


def test_that_reports_are_thinned_out_to_what_a_window_can_show(jobs: Jobs, qtbot: QtBot) -> None:
    told: list[int] = []

    def chatty(report: Report) -> None:
        for n in range(10_000):
            report(n, 10_000, "row")

    job = Job(chatty)
    job.progressed.connect(lambda done, total, text: told.append(done))
    with qtbot.waitSignal(job.finished):
        jobs.sums_lane(job)
    assert 1 <= len(told) < 100


def test_that_closing_stops_what_is_under_way(qtbot: QtBot) -> None:
    jobs, begun = Jobs(), threading.Event()

    def endless(report: Report) -> None:
        begun.set()
        while True:
            report(0, 0, "")

    job = jobs.sums_lane(Job(endless))
    assert begun.wait(5)
    with qtbot.assertNotEmitted(job.cancelled):
        jobs.close()
    assert jobs.running == 0


def test_that_a_report_of_a_stopped_job_raises_in_the_job() -> None:
    job = Job(lambda report: None)
    job.cancel()
    with pytest.raises(Cancelled):
        job.report(1, 2, "")


def test_that_a_job_in_steps_stays_on_the_thread_of_the_window_and_lets_it_do_other_things_between(
    jobs: Jobs, qtbot: QtBot
) -> None:
    order: list[str] = []
    threads = set()

    def steps(report: Report) -> Iterator[None]:
        for number in range(3):
            threads.add(QThread.currentThread())
            QTimer.singleShot(0, lambda number=number: order.append(f"between {number}"))
            order.append(f"step {number}")
            yield

    job = StepJob(steps)
    with qtbot.waitSignal(job.finished):
        jobs.window_lane(job)
        assert (order, jobs.running) == ([], 1)
    assert order == ["step 0", "between 0", "step 1", "between 1", "step 2", "between 2"]
    assert threads == {QThread.currentThread()}
    assert jobs.running == 0


def test_that_a_job_in_steps_asked_to_stop_takes_none_more(jobs: Jobs, qtbot: QtBot) -> None:
    taken = []

    def endless(report: Report) -> Iterator[None]:
        while True:
            taken.append(1)
            yield

    job = StepJob(endless)
    jobs.window_lane(job)
    qtbot.waitUntil(lambda: len(taken) > 2)
    job.cancel()
    before = len(taken)
    with qtbot.waitSignal(job.cancelled):
        pass
    assert (len(taken), jobs.running) == (before, 0)


def test_that_an_abandoned_job_is_told_as_cancelled_however_it_ends(jobs: Jobs, qtbot: QtBot) -> None:
    begun, go_on = threading.Event(), threading.Event()

    def work(fails: bool, report: Report) -> int:
        begun.set()
        go_on.wait()
        if fails:
            raise ValueError
        return 1

    for fails in (False, True):
        begun.clear()
        go_on.clear()
        job = Job(work, fails)
        told: list[object] = []
        job.finished.connect(told.append)
        job.failed.connect(told.append)
        with qtbot.waitSignal(job.cancelled):
            jobs.sums_lane(job)
            begun.wait()
            job.abandon()
            go_on.set()
        assert (told, jobs.running) == ([], 0)


def test_that_a_problem_in_a_step_is_told_as_that_of_any_job(jobs: Jobs, qtbot: QtBot) -> None:
    def failing(report: Report) -> Iterator[None]:
        yield
        raise Problem("It is not there.")

    job = StepJob(failing)
    with qtbot.waitSignal(job.failed) as told:
        jobs.window_lane(job)
    assert told.args is not None
    assert str(told.args[0]).startswith("It is not there.")
    assert jobs.running == 0
