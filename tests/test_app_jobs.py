"""Long works in processes of their own: every end is told, and nothing hangs."""

import time
from dataclasses import replace
from threading import Event, current_thread, main_thread

import job_works
import pytest

from crena.app.jobs import runner
from crena.app.jobs.runner import ENDED, PRELOADED, JobOrder, Jobs, run_work
from crena.app.workers import process_context
from crena.records import Job, JobKind, JobState
from crena.store.files import keep_file, stored_file
from crena.store.jobs import job_of, note_job


@pytest.fixture
def jobs(store):
    made = Jobs(store)
    yield made
    made.close()


def order(store, work, *parts):
    return JobOrder(
        kind=JobKind.PLAN, case_id="c1", work=work, parts=parts,
        finish=lambda content: keep_file(store, [content]),
    )  # fmt: skip


def ended(jobs, job_id):
    """Follow a job to its end; return all that was told of it."""
    told, until = [], time.monotonic() + 30
    while time.monotonic() < until:
        told.append(jobs.changed(job_id, told[-1] if told else None, 1.0))
        if told[-1].state in ENDED:
            return told
    raise AssertionError(f"the job did not end: {told[-1]}")


def test_a_work_gives_its_bytes_and_tells_its_steps(store, jobs):
    told = ended(jobs, jobs.start(order(store, job_works.doubled, b"ab")).job_id)
    assert told[-1].state is JobState.DONE
    assert stored_file(store, told[-1].result_sha256) == b"abab"


def test_a_work_that_tells_its_steps_is_said_to_run(store, jobs, monkeypatch):
    noted = []
    monkeypatch.setattr(runner, "note_job", lambda to, job: (noted.append(job), note_job(to, job)))
    ended(jobs, jobs.start(order(store, job_works.doubled, b"ab")).job_id)
    states = {job.step: job.state for job in noted}
    assert states == {
        "Waiting for its turn": JobState.WAITING,
        "Starting": JobState.RUNNING,
        "Doubling": JobState.RUNNING,
        "Done": JobState.DONE,
    }


def test_a_running_work_that_tells_its_steps_is_stopped_only_once_it_has_ended(store, jobs):
    job_id = jobs.start(order(store, job_works.endless)).job_id
    while jobs.job(job_id).step != "Going round":
        time.sleep(0.02)
    jobs.cancel(job_id)
    told = ended(jobs, job_id)
    assert [job.state for job in told[1:] if job.state in ENDED] == [JobState.CANCELLED]


def test_what_is_wrong_with_the_order_is_said_in_its_own_words(store, jobs):
    last = ended(jobs, jobs.start(order(store, job_works.refused)).job_id)[-1]
    assert (last.state, last.result_sha256) == (JobState.FAILED, "")
    assert last.reason == "The bar is 3 mm long; at least 5 mm are needed."


def test_a_process_whose_server_is_gone_ends_with_all_that_it_started():
    context = process_context(PRELOADED)
    here, there = context.Pipe()
    process = context.Process(target=run_work, args=(there, job_works.pooled, ()))
    process.start()
    there.close()
    for _ in range(20):
        assert here.recv()[0] == "step"
    here.close()
    process.join(timeout=60)
    assert process.exitcode == 0


@pytest.mark.parametrize("work", [job_works.dying, job_works.faulty])
def test_a_process_that_dies_leaves_a_job_that_says_so(store, jobs, work):
    last = ended(jobs, jobs.start(order(store, work)).job_id)[-1]
    assert last.state is JobState.FAILED and "ended without a word" in last.reason
    assert "division" not in last.reason


@pytest.mark.parametrize("work", [job_works.endless, job_works.deaf])
def test_a_running_work_can_be_stopped_whether_it_listens_or_not(store, jobs, work):
    job_id = jobs.start(order(store, work)).job_id
    while jobs.job(job_id).step in ("Starting", "Waiting for its turn"):
        time.sleep(0.02)
    jobs.cancel(job_id)
    assert ended(jobs, job_id)[-1].state is JobState.CANCELLED


def test_a_waiting_work_that_is_stopped_never_starts(store, jobs):
    first = jobs.start(order(store, job_works.endless)).job_id
    second = jobs.start(order(store, job_works.doubled, b"ab")).job_id
    assert jobs.job(second).state is JobState.WAITING
    jobs.cancel(second)
    assert jobs.job(second).state is JobState.CANCELLED
    jobs.cancel(first)
    assert ended(jobs, second)[-1].state is JobState.CANCELLED


def named(store, done, name="pull1"):
    """Order a work of a fixed name that notes here that it was done."""
    return replace(order(store, lambda: done.append(name) or b"x"), job_id=name)


def in_process(monkeypatch):
    """Do the work here instead of in a process of its own."""
    monkeypatch.setattr(Jobs, "_computed", lambda self, turn: turn.order.work(*turn.order.parts))


def test_a_work_stopped_while_it_waited_and_asked_for_again_is_done_once(store, jobs, monkeypatch):
    in_process(monkeypatch)
    go, done = Event(), []
    first = jobs.start(order(store, lambda: go.wait(20) and b"first"))
    jobs.start(named(store, done))
    jobs.cancel("pull1")
    again = jobs.start(named(store, done))
    assert again.state is JobState.WAITING
    last = jobs.start(order(store, lambda: b"last"))
    go.set()
    assert ended(jobs, first.job_id)[-1].state is JobState.DONE
    assert ended(jobs, last.job_id)[-1].state is JobState.DONE
    assert jobs.job("pull1").state is JobState.DONE
    assert done == ["pull1"]


def test_a_work_under_way_that_is_asked_for_again_is_the_same_one(store, jobs, monkeypatch):
    in_process(monkeypatch)
    go, done = Event(), []
    jobs.start(order(store, lambda: go.wait(20) and b"first"))
    assert jobs.start(named(store, done)) == jobs.start(named(store, done))
    last = jobs.start(order(store, lambda: b"last"))
    go.set()
    ended(jobs, last.job_id)
    assert done == ["pull1"]


def test_a_work_that_was_told_to_stop_is_begun_anew_when_it_is_asked_for_again(store, jobs):
    named = replace(order(store, job_works.deaf), job_id="film7")
    jobs.start(named)
    while jobs.job("film7").step != "Not listening":
        time.sleep(0.02)
    jobs.cancel("film7")
    jobs.start(replace(order(store, job_works.doubled, b"ab"), job_id="film7"))
    assert ended(jobs, "film7")[-1].state is JobState.DONE


def test_a_work_that_began_is_not_called_stopped_by_one_who_saw_it_wait(store, jobs, monkeypatch):
    in_process(monkeypatch)
    begins, seen, noted, done = Event(), Event(), Event(), []

    def noted_late(store, job):
        """Let the other hand look just before the work is said to run."""
        if job.state is JobState.RUNNING:
            begins.set()
            seen.wait(0.5)
        note_job(store, job)
        if job.state is JobState.DONE:
            noted.set()

    def seen_early(store, job_id):
        """Let the work end between the look and what is done after it."""
        found = job_of(store, job_id)
        if current_thread() is main_thread() and begins.is_set():
            seen.set()
            noted.wait(0.5)
        return found

    monkeypatch.setattr(runner, "note_job", noted_late)
    monkeypatch.setattr(runner, "job_of", seen_early)
    jobs.start(named(store, done))
    assert begins.wait(20)
    jobs.cancel("pull1")
    assert noted.wait(20)
    assert (jobs.job("pull1").state, done) == (JobState.DONE, ["pull1"])


def test_the_queue_goes_on_after_a_death(store, jobs):
    jobs.start(order(store, job_works.dying))
    last = ended(jobs, jobs.start(order(store, job_works.doubled, b"x")).job_id)[-1]
    assert last.state is JobState.DONE


def test_a_result_that_the_disk_has_no_room_for_leaves_a_reason_and_the_queue_goes_on(store, jobs):
    def full(content):
        raise OSError(28, "No space left on device")

    last = ended(
        jobs, jobs.start(replace(order(store, job_works.doubled, b"a"), finish=full)).job_id
    )
    assert (last[-1].state, last[-1].reason) == (JobState.FAILED, runner.NOT_KEPT)
    after = ended(jobs, jobs.start(order(store, job_works.doubled, b"ab")).job_id)
    assert after[-1].state is JobState.DONE


def test_a_work_that_takes_too_long_is_stopped_and_says_so(store, jobs, monkeypatch):
    monkeypatch.setattr(runner, "LONGEST_S", 0.3)
    last = ended(jobs, jobs.start(order(store, job_works.deaf)).job_id)[-1]
    assert last.state is JobState.FAILED and "took longer than" in last.reason


def test_what_a_killed_server_left_is_interrupted_at_the_next_start(store):
    left = Job(
        job_id="j1", case_id="c1", kind=JobKind.PLAN, state=JobState.RUNNING, step="Searching",
        share_ratio=0.4, reason="", result_sha256="",
    )  # fmt: skip
    note_job(store, left)
    again = Jobs(store)
    found = again.job("j1")
    again.close()
    assert found.state is JobState.INTERRUPTED and "Nothing of the case is lost" in found.reason


def test_closing_stops_what_runs(store):
    jobs = Jobs(store)
    job_id = jobs.start(order(store, job_works.endless)).job_id
    while jobs.job(job_id).state is not JobState.RUNNING:
        time.sleep(0.02)
    jobs.close()
    assert jobs.job(job_id).state in (JobState.CANCELLED, JobState.FAILED)
