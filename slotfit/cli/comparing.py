"""The same parts placed on several boards, as `compare` and `sheet` ask for it."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from slotfit.errors import InputError, Mistake

if TYPE_CHECKING:
    from collections.abc import Sequence

    from slotfit.choose.compare import Asked, Result
    from slotfit.choose.stop import Stop
    from slotfit.choose.swap import Candidate
    from slotfit.load.catalog import Catalog
    from slotfit.model.problem import Problem
    from slotfit.render.compare.view import Comparison


class Wanted(NamedTuple):
    """What the command line says."""

    boards: Sequence[str]
    seconds: float
    every: bool = False
    own: bool = True
    chassis: bool = True
    machine: str | None = None
    processors: Sequence[int] = ()
    futures: Path | None = None
    jobs: int = 2
    strict: str = ""
    """The option that names the boards, where one that cannot be read ends it all."""


def compared(problem: Problem, known: Catalog, wanted: Wanted) -> Comparison:
    """Every board with its plan, best first. Raises InputError."""
    from slotfit.choose import candidates as asked  # noqa: PLC0415 - loads the solver
    from slotfit.choose.compare import Asked  # noqa: PLC0415
    from slotfit.choose.futures_file import load_futures  # noqa: PLC0415
    from slotfit.choose.stop import Stop  # noqa: PLC0415
    from slotfit.choose.swap import names_aside, notes_aside  # noqa: PLC0415
    from slotfit.choose.verdict import comparison_of  # noqa: PLC0415

    whose = asked.machine_asked(problem, wanted.machine)
    if not wanted.chassis:
        problem = asked.without_chassis(problem, whose)
    found, broken = asked.gathered(wanted.boards, known, every=wanted.every)
    if wanted.strict and broken:
        raise InputError(Mistake(wanted.strict, "", text) for _, text in broken)
    if not wanted.chassis:
        found = asked.in_any_chassis(found)
    if wanted.own:
        found = [asked.own(problem, whose), *found]
    trying = asked.unlike(problem, whose, asked.with_processors(found, wanted.processors))
    aside = names_aside(problem, whose, trying)
    likely = load_futures(wanted.futures, known) if wanted.futures else ()
    stop = Stop()
    question = Asked(problem, whose, wanted.seconds, aside, likely)
    results = tried(question, trying, wanted.jobs, stop)
    return comparison_of(
        problem,
        whose,
        [*results, *asked.set_aside(broken)],
        [*notes_aside(problem, aside)],
        stopped=stop.asked,
    )


def tried(
    asked: Asked, candidates: Sequence[Candidate], jobs: int, stop: Stop
) -> tuple[Result, ...]:
    """All boards, a few at once, with progress on a terminal."""
    from slotfit.choose.compare import compare as compare_all  # noqa: PLC0415
    from slotfit.cli.progress import shown_progress  # noqa: PLC0415
    from slotfit.cli.stopping import told_of_ctrl_c  # noqa: PLC0415
    from slotfit.cli.workers import workers  # noqa: PLC0415

    with shown_progress() as progress, told_of_ctrl_c(stop):

        def done(name: str, number: int, count: int) -> None:
            progress(f"{name} is done", number - 1, count)

        with workers(min(jobs, len(candidates) // 2)) as executor:
            return compare_all(asked, candidates, executor, done, stop)
