"""The same build on another board."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Sequence
from concurrent.futures import CancelledError, Executor, Future, as_completed
from dataclasses import dataclass, replace

from slotfit.answers.compare.answer import UNTRIED, CauseView, OutlookView
from slotfit.answers.compare.causes import causes_of
from slotfit.answers.compare.futures import Outlook, robustness
from slotfit.answers.compare.left_out import Missing, Most, Stop, place_most
from slotfit.answers.place.answer import PlaceAnswer
from slotfit.answers.place.of_plan import answer_of
from slotfit.errors import InputError, SlotfitError
from slotfit.listing import listed
from slotfit.model.board import Board
from slotfit.model.plan import StageValue, Status
from slotfit.model.problem import Item, Problem, Rig, Site
from slotfit.model.words import Stage

ON_ONE_BOARD: tuple[Stage, ...] = ("moves", "reserve")
"""Preferences that mean something on one board only: today's layout, and its best receptacles."""


@dataclass(frozen=True)
class Candidate:
    """One board to try."""

    name: str
    board: Board
    fitted: int | None = None
    """So many of its processors, the first ones; None: as many as in the build, or as in `rig`."""
    rig: Rig | None = None
    """The machine it was found in, whose chassis, supply and air come with it."""


@dataclass(frozen=True)
class Swapped:
    """A build on another board, and what of the wishes could not be carried over."""

    problem: Problem
    notes: tuple[str, ...]


def on_board(
    problem: Problem, machine: str, candidate: Candidate, aside: Collection[str] = ()
) -> Swapped:
    """
    The build with the candidate's board in `machine`.

    Wishes that name a receptacle of `aside` are dropped; processors to be near to are carried over
    by their number. Today's layout counts for nothing: no board is to have the advantage of it.
    """
    old = problem.rig[machine]
    new = rig_of(old, candidate)
    notes: list[str] = []
    near = [near_there(problem, item, old, new, notes) for item in problem.items]
    swapped = replace(
        problem,
        rigs=tuple(new if rig is old else rig for rig in problem.rigs),
        items=tuple(
            wishing(item, aside, where) for item, where in zip(problem.items, near, strict=True)
        ),
        sites=tuple(sites(problem, machine, candidate.board)),
        today={},
        preferences=preferences(problem),
    )
    return Swapped(swapped, tuple(dict.fromkeys(notes)))


def rig_of(old: Rig, candidate: Candidate) -> Rig:
    """The machine with the candidate's board in it."""
    home, board = candidate.rig or old, candidate.board
    fitted = [one.id for one in board.processors]
    if candidate.fitted is None and candidate.rig:
        fitted = [name for name in fitted if name in home.fitted]
    else:
        fitted = fitted[: candidate.fitted or len(old.fitted)]
    update = {"id": old.id, "name": old.machine.name, "processors": tuple(fitted)}
    return replace(home, machine=home.machine.model_copy(update=update), board=board)


def sites(problem: Problem, machine: str, board: Board) -> Iterator[Site]:
    """The new board's receptacles, then all that were not the old board's."""
    alone = len(problem.rigs) == 1
    for receptacle in board.receptacles:
        name = receptacle.id if alone else f"{machine}/{receptacle.id}"
        yield Site(name, machine, on_board=True, receptacle=receptacle)
    for site in problem.sites:
        if not (site.on_board and site.owner == machine):
            yield site


def preferences(problem: Problem) -> tuple[Stage, ...]:
    """What boards are compared by, in the build's order; the reserve only decides between ties."""
    compared = tuple(stage for stage in problem.preferences if stage not in ON_ONE_BOARD)
    return (*compared, *(stage for stage in problem.preferences if stage == "reserve"))


def wishing(item: Item, aside: Collection[str], near: str | None) -> Item:
    """The item with the wishes that still mean something."""
    wish = item.wish
    update: dict[str, object] = {
        "near": near,
        "pin": None if wish.pin in aside else wish.pin,
        "only": () if any(name in aside for name in wish.only) else wish.only,
        "ban": tuple(name for name in wish.ban if name not in aside),
    }
    changed = any(getattr(wish, field) != value for field, value in update.items())
    return item._replace(wish=wish.model_copy(update=update)) if changed else item


def near_there(problem: Problem, item: Item, old: Rig, new: Rig, notes: list[str]) -> str | None:
    """The processor of the same number on the new board; with fewer fitted, the last one."""
    near = item.wish.near
    if near is None:
        return None
    owner, slash, name = near.rpartition("/")
    known = [processor.id for processor in old.board.processors]
    if (slash and owner != old.id) or name not in known:
        return near
    fitted = [one.id for one in new.board.processors if one.id in new.fitted]
    number = known.index(name)
    if name in old.fitted and new.board is old.board and name in fitted:
        return near
    there = fitted[min(number, len(fitted) - 1)]
    if number >= len(fitted):
        notes.append(f"{new.board.id} has no fitted processor like {name}: {there} stands for it")
    elsewhere = [rig for rig in problem.rigs if rig is not old and item.wish.machine != old.id]
    if there != name and not slash and elsewhere:
        if not any(one.id == name for rig in elsewhere for one in rig.board.processors):
            return f"{old.id}/{there}"  # no other machine has a processor of that name
        notes.append(f"`near` of {item.id} could mean any machine: it still names {name}")
        return near
    return f"{owner}/{there}" if slash else there


def names_aside(problem: Problem, machine: str, candidates: Sequence[Candidate]) -> frozenset[str]:
    """
    The board's receptacles whose names not every candidate shares.

    Only boards of one id are taken to mean the same by a name: another board's slot1 is another
    slot. What is dropped for one is dropped for all, so that none is held to more than the others.
    """
    old = problem.rig[machine].board
    shared = {receptacle.id for receptacle in old.receptacles}
    for candidate in candidates:
        same = candidate.board.id == old.id
        shared &= {one.id for one in candidate.board.receptacles} if same else set()
    return frozenset(
        site.id
        for site in problem.sites
        if site.on_board and site.owner == machine and site.receptacle.id not in shared
    )


def notes_aside(problem: Problem, aside: Collection[str]) -> Iterator[str]:
    """Which wishes are dropped on every board."""
    said: dict[tuple[str, tuple[str, ...]], list[str]] = {}
    for item in problem.items:
        wish = item.wish
        for field, names in (("pin", (wish.pin,)), ("only", wish.only), ("ban", wish.ban)):
            gone = tuple(name for name in names if name is not None and name in aside)
            if gone and item.companion_of is None:
                said.setdefault((field, gone), []).append(item.id)
    for (field, gone), items in said.items():
        yield (
            f"`{field}` of {listed(items)} names {listed(gone)} of this build's board: "
            "not asked of any board"
        )


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
    view: PlaceAnswer
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
    placed, plan = most.placed, most.placed.plan
    if plan is None:
        return None
    return Found(
        proven=most.status is Status.PROVEN,
        stages=tuple(stage for stage in plan.stages if stage.stage != "reserve"),
        missing=most.missing,
        causes=tuple(causes_of(placed, plan)),
        view=answer_of(placed),
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
