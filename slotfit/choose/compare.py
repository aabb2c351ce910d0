"""The same parts placed best on each of several boards."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Executor, Future, as_completed
from dataclasses import dataclass, replace

from slotfit import api
from slotfit.choose.futures import Outlook, robustness
from slotfit.choose.swap import all_optional, on_board
from slotfit.errors import SlotfitError
from slotfit.model.board import Board
from slotfit.model.plan import Status
from slotfit.model.problem import Problem
from slotfit.render.view import View
from slotfit.render.view_of import view_of


@dataclass(frozen=True)
class Candidate:
    """One board to try, with so many processors fitted (None: as in the build)."""

    name: str
    board: Board
    fitted: int | None = None


@dataclass(frozen=True)
class Asked:
    """What is asked of every board."""

    problem: Problem
    machine: str
    """Whose board is exchanged."""
    seconds: float
    """For one board."""
    futures: tuple[Outlook, ...] = ()


@dataclass(frozen=True)
class Result:
    """What one board does with the parts."""

    name: str
    board: str
    invented: bool
    processors: int
    status: Status
    complete: bool
    """Every required part has a seat."""
    values: tuple[tuple[str, int], ...]
    """Stage and value, in the order of the preferences."""
    view: View | None
    notes: tuple[str, ...] = ()
    price: float | None = None
    seconds: float = 0.0
    share: float | None = None
    """Weight of the likely futures it can take, out of all; None if none were asked about."""
    mistake: str = ""
    """Why the board could not be tried at all."""


def place_on(asked: Asked, candidate: Candidate) -> Result:
    """One board; a mistake in it is part of the result, never an exception."""
    try:
        return placed_on(asked, candidate)
    except SlotfitError as error:
        return failed(candidate, str(error))


def failed(candidate: Candidate, mistake: str) -> Result:
    """A board that could not be tried."""
    return replace(
        unreadable(candidate.name, mistake),
        board=candidate.board.id,
        invented=candidate.board.invented,
    )


def unreadable(name: str, mistake: str) -> Result:
    """A board of which nothing is known but the mistake in it."""
    return Result(
        name,
        board=name,
        invented=False,
        processors=0,
        status=Status.UNKNOWN,
        complete=False,
        values=(),
        view=None,
        mistake=mistake,
    )


def placed_on(asked: Asked, candidate: Candidate) -> Result:
    """The best plan there; if not everything required fits, the best plan of what does."""
    swapped = on_board(asked.problem, asked.machine, candidate.board, candidate.fitted)
    placed = api.place(swapped.problem, asked.seconds)
    complete = placed.answer.status is not Status.IMPOSSIBLE
    spent = placed.answer.seconds
    if not complete:
        placed = api.place(all_optional(swapped.problem), asked.seconds)
        spent += placed.answer.seconds
    view = view_of(placed.problem, placed.seating, placed.answer)
    plan = placed.answer.plan
    return Result(
        name=candidate.name,
        board=candidate.board.id,
        invented=candidate.board.invented,
        processors=len(placed.problem.rig[asked.machine].fitted),
        status=placed.answer.status,
        complete=complete,
        values=tuple((stage.stage, stage.value) for stage in plan.stages) if plan else (),
        view=view,
        notes=swapped.notes,
        price=candidate.board.price,
        seconds=round(spent, 3),
        share=robustness(swapped.problem, asked.futures, asked.seconds).share
        if asked.futures
        else None,
    )


Done = Callable[[Result, int, int], None]
"""Called after each board with its result, how many are done, and how many there are."""


def compare(
    asked: Asked,
    candidates: Sequence[Candidate],
    executor: Executor | None = None,
    done: Done | None = None,
) -> tuple[Result, ...]:
    """
    Every board's result, in the order given.

    Any executor of the standard interface will do, a cluster's too; without one the boards are
    tried one after another.
    """
    found: dict[int, Result] = {}
    for number, result in results(asked, candidates, executor):
        found[number] = result
        if done:
            done(result, len(found), len(candidates))
    return tuple(found[number] for number in sorted(found))


def results(
    asked: Asked, candidates: Sequence[Candidate], executor: Executor | None
) -> Iterator[tuple[int, Result]]:
    """Results as they come, each with its candidate's number."""
    if executor is None:
        for number, candidate in enumerate(candidates):
            yield number, place_on(asked, candidate)
        return
    jobs: dict[Future[Result], int] = {
        executor.submit(place_on, asked, candidate): number
        for number, candidate in enumerate(candidates)
    }
    try:
        for job in as_completed(jobs):
            number = jobs[job]
            error = job.exception()
            yield number, failed(candidates[number], str(error)) if error else job.result()
    finally:
        for job in jobs:
            job.cancel()
