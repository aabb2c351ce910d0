"""The same build on several boards, each with its best plan."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import CancelledError, Executor, Future, as_completed
from contextlib import AbstractContextManager, nullcontext
from dataclasses import dataclass, replace
from pathlib import Path

from slotfit.answers.compare import boards as which
from slotfit.answers.compare.answer import UNTRIED, BoardPlan, BoardTried, CompareAnswer
from slotfit.answers.compare.boards import ONLY_TIES, Candidate, on_board
from slotfit.answers.compare.verdict import compare_answer
from slotfit.answers.place.additions import (
    FuturesTaken,
    Probe,
    futures_taken,
    keeping,
    load_futures,
    with_added,
)
from slotfit.answers.place.causes import (
    contributions,
    draw_unknown,
    free_groups,
    lanes_left,
    power_left,
)
from slotfit.answers.place.left_out import MostPlaced, place_most
from slotfit.answers.place.of_plan import answer_of
from slotfit.answers.place.plan import best_plan
from slotfit.errors import InputError, Mistake, SlotfitError
from slotfit.load.catalog import Catalog
from slotfit.model.plan import Status
from slotfit.model.problem import Problem
from slotfit.solve.engine import Stop
from slotfit.solve.place import Progress, silent


@dataclass(frozen=True, slots=True)
class BoardQuestion:
    """What is asked of every board."""

    problem: Problem
    machine: str
    """Whose board is exchanged."""
    seconds: float
    """For one board; and again for each future."""
    dropped: frozenset[str] = frozenset()
    """The board's receptacles whose names no wish may use."""
    futures: tuple[Probe, ...] = ()


def try_board(question: BoardQuestion, candidate: Candidate) -> BoardTried:
    """One board; whatever goes wrong with it is part of the result, never an exception."""
    try:
        return place_on(question, candidate)
    except InputError as error:
        return failed(candidate, str(error))
    except SlotfitError as error:
        return failed(candidate, f"slotfit contradicts itself there; please report this: {error}")
    except Exception as error:  # noqa: BLE001 - one board must not end the run of the others
        return failed(candidate, f"slotfit fails there; please report this: {in_a_line(error)}")


def in_a_line(error: BaseException) -> str:
    """An exception of which nothing else is known."""
    return f"{type(error).__name__} {error}".strip()


def failed(candidate: Candidate, mistake: str) -> BoardTried:
    """A board that could not be tried."""
    board = candidate.board
    return BoardTried(candidate.name, board.id, invented=board.invented, mistake=mistake)


def place_on(question: BoardQuestion, candidate: Candidate) -> BoardTried:
    """The best plan there; if not everything required fits, the best plan of what does."""
    machine, board = question.machine, candidate.board
    problem, notes = on_board(question.problem, machine, candidate, question.dropped)
    most = place_most(problem, question.seconds)
    return BoardTried(
        name=candidate.name,
        board=board.id,
        invented=board.invented,
        fitted=len(problem.machine[machine].fitted),
        sockets=len(board.processors),
        price=board.price,
        notes=notes,
        seconds=round(most.seconds, 3),
        impossible=bool(most.missing) or most.placed.status is Status.IMPOSSIBLE,
        plan=board_plan(most, question),
    )


def board_plan(most: MostPlaced, question: BoardQuestion) -> BoardPlan | None:
    """The plan and what is told of it; None if there is none."""
    placed, plan = most.placed, most.placed.plan
    if plan is None:
        return None
    answer = answer_of(placed)
    parts = placed.problem.part
    return BoardPlan(
        proven=placed.status is Status.PROVEN,
        placed=sum(parts[seat.part].companion_of is None for seat in plan.seats),
        stages=tuple(stage for stage in plan.stages if stage.stage not in ONLY_TIES),
        missing=most.missing,
        contributions=tuple(contributions(placed, plan)),
        free=free_groups(answer),
        lanes_left=lanes_left(answer),
        power_left_w=power_left(answer),
        draw_unknown=draw_unknown(answer),
        futures=futures_beside(most, question) if question.futures else None,
        answer=answer,
    )


def futures_beside(most: MostPlaced, question: BoardQuestion) -> FuturesTaken:
    """Which futures fit beside the plan; none where the parts of today do not all fit."""
    plan, futures = most.placed.plan, question.futures
    fits: dict[str, bool | None] = {one.name: False for one in futures}
    if plan and not most.missing:
        base = replace(keeping(most.placed.problem, plan), preferences=())  # anything may move
        for one in futures:
            status = best_plan(with_added(base, one, 1), question.seconds).status
            fits[one.name] = None if status is Status.UNKNOWN else status is not Status.IMPOSSIBLE
    return futures_taken(futures, fits)


Done = Callable[[str, int, int], None]
"""Called after each board with its name, how many are done, and how many there are."""


def quiet(name: str, done: int, count: int) -> None:
    """No progress shown."""


def tried_on(
    question: BoardQuestion,
    candidates: Sequence[Candidate],
    executor: Executor | None = None,
    done: Done = quiet,
    stop: Stop | None = None,
) -> tuple[BoardTried, ...]:
    """
    Every board with its plan, in the order given.

    Any executor of the standard interface will do, a cluster's too, as long as its workers can
    import slotfit; without one the boards are tried one after another. After Ctrl-C, or once
    `stop` is asked for, the boards that are not done are said not to have been tried; jobs not
    begun by then are the executor's owner's to cancel.
    """
    stop = stop or Stop()
    found: dict[int, BoardTried] = {}
    try:
        for number, tried in as_they_come(question, candidates, executor):
            found[number] = tried
            done(tried.name, len(found), len(candidates))
            if stop.asked:
                break
    except KeyboardInterrupt:
        stop.asked = True
    return tuple(
        found.get(number) or failed(candidate, UNTRIED)
        for number, candidate in enumerate(candidates)
    )


def as_they_come(
    question: BoardQuestion, candidates: Sequence[Candidate], executor: Executor | None
) -> Iterator[tuple[int, BoardTried]]:
    """Boards as they are done, each with its candidate's number."""
    if executor is None:
        for number, candidate in enumerate(candidates):
            yield number, try_board(question, candidate)
        return
    jobs: dict[Future[BoardTried], int] = {
        executor.submit(try_board, question, candidate): number
        for number, candidate in enumerate(candidates)
    }
    for job in as_completed(jobs):
        number = jobs[job]
        yield number, job_result(job, candidates[number])


def job_result(job: Future[BoardTried], candidate: Candidate) -> BoardTried:
    """What became of a job; where its worker died, that is what is said of the board."""
    try:
        error = job.exception()
    except CancelledError:
        return failed(candidate, "its job was cancelled")
    if error is not None:
        return failed(candidate, f"its worker failed: {in_a_line(error)}")
    return job.result()


@dataclass(frozen=True, slots=True)
class BoardsWanted:
    """Which boards to compare, and how."""

    boards: Sequence[str]
    """Catalog ids, board files, or build files."""
    seconds: float = 60.0
    """At most so many for a board, and again for a future."""
    every: bool = False
    """The catalog's boards too."""
    own: bool = True
    """The build's own board too."""
    chassis: bool = True
    """Held to their chassis."""
    machine: str | None = None
    """Whose board is exchanged; needed where there are several machines."""
    processors: Sequence[int] = ()
    """How many to try it with; empty: as many as there are."""
    futures: Path | None = None
    """A file of futures: which of them each board takes."""
    jobs: int = 2
    """Boards to try at once."""
    strict: str = ""
    """What names the boards, where one that cannot be read ends it all."""


Pool = Callable[[int], AbstractContextManager[Executor | None]]
"""So many workers, for as long as they are needed."""


def no_pool(_: int) -> AbstractContextManager[None]:
    """One board after another."""
    return nullcontext()


def compare(
    problem: Problem,
    catalog: Catalog,
    wanted: BoardsWanted,
    progress: Progress = silent,
    pool: Pool = no_pool,
    stop: Stop | None = None,
) -> CompareAnswer:
    """
    The same parts placed on each board, best first, and what decides.

    `pool`: where boards are tried at once. Once `stop` is asked for, the boards that are not done
    are said not to have been tried. Raises InputError.
    """
    machine, stop = which.machine_asked(problem, wanted.machine), stop or Stop()
    if not wanted.chassis:
        problem = which.without_chassis(problem, machine)
    found, broken = which.gathered(wanted.boards, catalog, every=wanted.every)
    if wanted.strict and broken:
        raise InputError(Mistake(wanted.strict, "", text) for _, text in broken)
    if not wanted.chassis:
        found = which.in_any_chassis(found)
    if wanted.own:
        found = [which.own(problem, machine), *found]
    candidates = which.unlike(problem, machine, which.with_processors(found, wanted.processors))
    dropped = which.names_dropped(problem, machine, candidates)
    futures = load_futures(wanted.futures, catalog) if wanted.futures else ()
    question = BoardQuestion(problem, machine, wanted.seconds, dropped, futures)

    def done(name: str, number: int, count: int) -> None:
        progress(f"{name} is done", number - 1, count)

    with pool(min(wanted.jobs, len(candidates) // 2)) as executor:
        boards = tried_on(question, candidates, executor, done, stop)
    unread = (BoardTried(name, name, mistake=mistake) for name, mistake in dict(broken).items())
    not_asked = [*which.wishes_dropped(problem, dropped)]
    return compare_answer(problem, machine, [*boards, *unread], not_asked, stopped=stop.asked)
