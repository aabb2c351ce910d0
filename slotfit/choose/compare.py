"""The same parts placed best on each of several boards."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import CancelledError, Executor, Future, as_completed
from dataclasses import dataclass, replace

from slotfit.choose.causes import causes_of
from slotfit.choose.futures import Outlook, robustness
from slotfit.choose.left_out import Missing, Most, place_most
from slotfit.choose.stop import Stop
from slotfit.choose.swap import Candidate, on_board
from slotfit.errors import InputError, SlotfitError
from slotfit.model.plan import StageValue
from slotfit.model.problem import Problem
from slotfit.model.status import Status
from slotfit.render.compare.view import UNTRIED, CauseView, OutlookView
from slotfit.render.view import View
from slotfit.render.view_of import view_of


@dataclass(frozen=True)
class Asked:
    """What is asked of every board."""

    problem: Problem
    machine: str
    """Whose board is exchanged."""
    seconds: float
    """For one board; and again for each future."""
    aside: frozenset[str] = frozenset()
    """The board's receptacles whose names no wish may use."""
    outlooks: tuple[Outlook, ...] = ()


@dataclass(frozen=True)
class Found:
    """The best plan on one board."""

    proven: bool
    """No better plan exists there, and no more of the required parts fit."""
    stages: tuple[StageValue, ...]
    """What boards are compared by, in the order of the preferences."""
    missing: tuple[Missing, ...]
    causes: tuple[CauseView, ...]
    view: View
    outlook: OutlookView | None = None


@dataclass(frozen=True)
class Result:
    """What one board does with the parts."""

    name: str
    board: str
    invented: bool = False
    fitted: int = 0
    sockets: int = 0
    price: float | None = None
    notes: tuple[str, ...] = ()
    seconds: float = 0.0
    found: Found | None = None
    impossible: bool = False
    """Not everything required fits, though time ran out before what does was known."""
    mistake: str = ""
    """Why the board could not be tried at all."""


def place_on(asked: Asked, candidate: Candidate) -> Result:
    """One board; whatever goes wrong with it is part of the result, never an exception."""
    try:
        return placed_on(asked, candidate)
    except InputError as error:
        return failed(candidate, str(error))
    except SlotfitError as error:
        return failed(candidate, f"slotfit contradicts itself there; please report this: {error}")
    except Exception as error:  # noqa: BLE001 - one board must not end the run of the others
        return failed(candidate, f"slotfit fails there; please report this: {described(error)}")


def described(error: BaseException) -> str:
    """An exception of which nothing else is known, in one line."""
    return f"{type(error).__name__} {error}".strip()


def failed(candidate: Candidate, mistake: str) -> Result:
    """A board that could not be tried."""
    board = candidate.board
    return Result(candidate.name, board.id, invented=board.invented, mistake=mistake)


def placed_on(asked: Asked, candidate: Candidate) -> Result:
    """The best plan there; if not everything required fits, the best plan of what does."""
    swapped = on_board(asked.problem, asked.machine, candidate, asked.aside)
    most = place_most(swapped.problem, asked.seconds)
    result = Result(
        name=candidate.name,
        board=candidate.board.id,
        invented=candidate.board.invented,
        fitted=len(swapped.problem.rig[asked.machine].fitted),
        sockets=len(candidate.board.processors),
        price=candidate.board.price,
        notes=swapped.notes,
        seconds=round(most.seconds, 3),
        impossible=bool(most.missing) or most.status is Status.IMPOSSIBLE,
    )
    found = found_in(most)
    if found and asked.outlooks:
        found = replace(found, outlook=robustness(most, asked.outlooks, asked.seconds))
    return replace(result, found=found)


def found_in(most: Most) -> Found | None:
    """The plan and what is told of it; None if there is none."""
    placed, plan = most.placed, most.placed.answer.plan
    if plan is None:
        return None
    return Found(
        proven=most.status is Status.PROVEN,
        stages=tuple(stage for stage in plan.stages if stage.stage != "reserve"),
        missing=most.missing,
        causes=tuple(causes_of(placed, plan)),
        view=view_of(placed.problem, placed.seating, placed.answer),
    )


Done = Callable[[str, int, int], None]
"""Called after each board with its name, how many are done, and how many there are."""


def quiet(name: str, done: int, count: int) -> None:
    """No progress shown."""


def compare(
    asked: Asked,
    candidates: Sequence[Candidate],
    executor: Executor | None = None,
    done: Done = quiet,
    stop: Stop | None = None,
) -> tuple[Result, ...]:
    """
    Every board's result, in the order given.

    Any executor of the standard interface will do, a cluster's too, as long as its workers can
    import slotfit; without one the boards are tried one after another. After Ctrl-C, or once
    `stop` is asked for, the boards that are not done are said not to have been tried; jobs not
    begun by then are the executor's owner's to cancel.
    """
    stop = stop or Stop()
    found: dict[int, Result] = {}
    try:
        for number, result in results(asked, candidates, executor):
            found[number] = result
            done(result.name, len(found), len(candidates))
            if stop.asked:
                break
    except KeyboardInterrupt:
        stop.asked = True
    return tuple(
        found.get(number) or failed(candidate, UNTRIED)
        for number, candidate in enumerate(candidates)
    )


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
    for job in as_completed(jobs):
        number = jobs[job]
        yield number, result_of(job, candidates[number])


def result_of(job: Future[Result], candidate: Candidate) -> Result:
    """What became of a job; where its worker died, that is what is said of the board."""
    try:
        error = job.exception()
    except CancelledError:
        return failed(candidate, "its job was cancelled")
    if error is not None:
        return failed(candidate, f"its worker failed: {described(error)}")
    return job.result()
