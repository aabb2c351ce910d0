"""Many boards: any executor will do, one bad board ends nothing, Ctrl-C keeps what is done."""

from __future__ import annotations

import pickle
import signal
from collections.abc import Callable
from concurrent.futures import Executor, Future, ThreadPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from typing import Any

import pytest

from slotfit.answers.compare.answer import UNTRIED, BoardTried
from slotfit.answers.compare.boards import Candidate
from slotfit.answers.compare.compare import BoardQuestion, tried_on
from slotfit.answers.compare.text import as_text
from slotfit.answers.compare.verdict import compare_answer
from slotfit.answers.place.plan import best_plan
from slotfit.cli.workers import told_of_ctrl_c, workers
from slotfit.errors import InternalError
from slotfit.solve.engine import Stop
from tests.choose.invented import ONE_PROCESSOR, TWO_SLOTS, board, build, cards, values
from tests.limits import SECONDS

PROBLEM = build(cards("nic"))
ASKED = BoardQuestion(PROBLEM, "box", SECONDS, frozenset({"slot1", "slot2"}))


def boards(count: int = 4) -> list[Candidate]:
    """Boards in turn of two slots and of one."""
    texts = (TWO_SLOTS, ONE_PROCESSOR)
    return [Candidate(f"board-{n}", board(texts[n % 2])) for n in range(count)]


class Cluster(Executor):
    """Jobs go out as bytes, come back last first; some are cancelled or lose their worker."""

    def __init__(self, dies: str = "", cancels: str = "") -> None:
        self.dies = dies
        self.cancels = cancels
        self.jobs: list[tuple[Future[Any], bytes, str]] = []

    def submit(self, fn: Callable[..., Any], /, *args: Any, **kwargs: Any) -> Future[Any]:
        future: Future[Any] = Future()
        self.jobs.append((future, pickle.dumps((fn, args, kwargs)), args[1].name))
        if len(self.jobs) == 4:
            self.work()
        return future

    def work(self) -> None:
        for future, sent, name in reversed(self.jobs):
            if name == self.cancels:
                future.cancel()
                future.set_running_or_notify_cancel()
            elif name == self.dies:
                future.set_exception(BrokenProcessPool("worker lost"))
            else:
                fn, args, kwargs = pickle.loads(sent)  # noqa: S301 - our own bytes
                future.set_result(fn(*args, **kwargs))


def told(results: tuple[BoardTried, ...]) -> list[tuple[str, dict[str, int]]]:
    return [(one.name, dict(values(one))) for one in results]


def test_every_executor_gives_the_same() -> None:
    alone = tried_on(ASKED, boards())
    with ThreadPoolExecutor(2) as threads:
        assert told(tried_on(ASKED, boards(), threads)) == told(alone)
    assert told(tried_on(ASKED, boards(), Cluster())) == told(alone)
    assert [one.name for one in alone] == [f"board-{n}" for n in range(4)]


def test_processes_give_the_same() -> None:
    with workers(2) as processes:
        assert processes is not None
        assert told(tried_on(ASKED, boards(2), processes)) == told(tried_on(ASKED, boards(2)))


def test_one_at_a_time_needs_no_processes() -> None:
    with workers(1) as nothing:
        assert nothing is None


def test_a_worker_that_dies_takes_only_its_board_with_it() -> None:
    results = tried_on(ASKED, boards(), Cluster(dies="board-1", cancels="board-2"))
    assert [one.mistake for one in results] == [
        "",
        "its worker failed: BrokenProcessPool worker lost",
        "its job was cancelled",
        "",
    ]


@pytest.mark.parametrize(
    ("error", "mistake"),
    [
        (
            InternalError("two minds"),
            "slotfit contradicts itself there; please report this: two minds",
        ),
        (ValueError("odd"), "slotfit fails there; please report this: ValueError odd"),
    ],
)
def test_what_goes_wrong_on_one_board_ends_nothing(
    error: Exception, mistake: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    place = best_plan

    def fails_on_one(problem: Any, *args: Any, **kwargs: Any) -> Any:
        if problem.machines[0].board.id == "one-processor":
            raise error
        return place(problem, *args, **kwargs)

    monkeypatch.setattr("slotfit.answers.place.left_out.best_plan", fails_on_one)
    results = tried_on(ASKED, boards())
    assert [one.mistake for one in results] == ["", mistake, "", mistake]
    compared = compare_answer(PROBLEM, "box", results)
    assert [one.rank for one in compared.plan.boards] == [1, 1, 0, 0]
    assert compared.plan.boards[-1].verdict == f"could not be tried: {mistake}"


def test_progress_counts_every_board_once() -> None:
    seen: list[tuple[int, int]] = []
    with ThreadPoolExecutor(2) as threads:
        tried_on(ASKED, boards(), threads, lambda _, done, count: seen.append((done, count)))
    assert seen == [(1, 4), (2, 4), (3, 4), (4, 4)]


def test_ctrl_c_keeps_what_is_done() -> None:
    stop = Stop()

    def press(_: str, done: int, __: int) -> None:
        if done == 2:
            signal.raise_signal(signal.SIGINT)

    before = signal.getsignal(signal.SIGINT)
    with told_of_ctrl_c(stop):
        results = tried_on(ASKED, boards(), None, press, stop)
    assert signal.getsignal(signal.SIGINT) is before
    assert stop.asked
    assert [one.mistake for one in results] == [
        *("", ""),
        *(UNTRIED, UNTRIED),
    ]
    compared = compare_answer(PROBLEM, "box", results, stopped=stop.asked)
    assert compared.verdict.status == "stopped"
    assert [one.rank for one in compared.plan.boards] == [1, 1, 0, 0]
    assert compared.plan.boards[-1].verdict == "not tried: stopped before"
    assert "  - not tried: board-2, board-3\n" in as_text(compared)


def test_ctrl_c_while_a_board_is_solved_tries_no_further_one(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """The solver swallows the interrupt and keeps its best; the loop around it has to know."""
    stop, place = Stop(), best_plan

    def pressed(*args: Any, **kwargs: Any) -> Any:
        try:
            signal.raise_signal(signal.SIGINT)
        except KeyboardInterrupt:
            return place(*args, **kwargs)

    monkeypatch.setattr("slotfit.answers.place.left_out.best_plan", pressed)
    with told_of_ctrl_c(stop):
        results = tried_on(ASKED, boards(), None, stop=stop)
    assert [bool(one.plan) for one in results] == [True, False, False, False]
