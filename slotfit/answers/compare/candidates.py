"""Which boards to try: named ones, the catalog's, with more or fewer processors."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path

from slotfit.answers.compare.compare import Candidate, Result, rig_of
from slotfit.errors import InputError, Mistake
from slotfit.listing import counted
from slotfit.load.build_file import load_build
from slotfit.load.catalog import Catalog, kind_of
from slotfit.model.board import Board
from slotfit.model.entity import Entity
from slotfit.model.problem import Problem, Rig

Broken = tuple[str, str]
"""A board's name, and what is wrong with it."""


def machine_asked(problem: Problem, machine: str | None) -> str:
    """The machine whose board is exchanged. Raises InputError if it is not clear which."""
    ids = [rig.id for rig in problem.rigs]
    if machine is None and len(ids) == 1:
        return ids[0]
    if machine is None or machine not in ids:
        wrong = f"there is no machine {machine}" if machine else "which of several machines?"
        raise InputError([Mistake("--machine", "", f"{wrong}; write one of {', '.join(ids)}")])
    return machine


def own(problem: Problem, machine: str) -> Candidate:
    """The board that the build has."""
    rig = problem.rig[machine]
    return Candidate(rig.board.id, rig.board, rig=rig)


def named(argument: str, catalog: Catalog) -> Iterator[Candidate]:
    """A catalog id or a board file; a build file stands for each of its machines, as it is."""
    path = Path(argument)
    if path.is_file() and kind_of(path) == "build":
        problem = load_build(path, catalog)
        for rig in problem.rigs:
            yield Candidate(f"{rig.board.id} of {problem.id}", rig.board, rig=rig)
        return
    board = catalog.given(argument, Board, "BOARD")
    yield Candidate(board.id, board)


def gathered(
    arguments: Sequence[str], catalog: Catalog, *, every: bool = False
) -> tuple[list[Candidate], list[Broken]]:
    """
    Every board named, and with `every` those of the catalog in the order of their ids.

    One with mistakes in it is set aside and the rest go on.
    """
    good: list[Candidate] = []
    broken: list[Broken] = []
    for argument in [*arguments, *(catalog.ids(Board) if every else ())]:
        try:
            good += named(argument, catalog)
        except InputError as error:
            broken.append((argument, str(error)))
    return good, broken


def set_aside(broken: Sequence[Broken]) -> list[Result]:
    """Boards that could not even be read, as results."""
    return [Result(name, name, mistake=mistake) for name, mistake in dict(broken).items()]


def with_processors(candidates: Sequence[Candidate], counts: Sequence[int]) -> list[Candidate]:
    """Each board with each number of processors, as far as it has sockets for them."""
    if not counts:
        return list(candidates)
    return [
        replace(one, name=f"{one.name}, {counted(count, 'processor')}", fitted=count)
        for one in candidates
        for count in sorted({min(count, len(one.board.processors)) for count in counts})
    ]


def without_chassis(problem: Problem, machine: str) -> Problem:
    """The build with that machine's board lying on the table."""
    rigs = (replace(rig, chassis=None) if rig.id == machine else rig for rig in problem.rigs)
    return replace(problem, rigs=tuple(rigs))


def in_any_chassis(candidates: Sequence[Candidate]) -> list[Candidate]:
    """Each board without the chassis that it came with."""
    return [replace(one, rig=one.rig and replace(one.rig, chassis=None)) for one in candidates]


def unlike(problem: Problem, machine: str, candidates: Sequence[Candidate]) -> list[Candidate]:
    """Each machine once, however often it was named; different ones of one name get a number."""
    old = problem.rig[machine]
    seen: set[tuple[object, ...]] = set()
    names: dict[str, int] = {}
    found: list[Candidate] = []
    for one in candidates:
        alike = contents(rig_of(old, one))
        if alike in seen:
            continue
        seen.add(alike)
        names[one.name] = names.get(one.name, 0) + 1
        number = f" ({names[one.name]})" if names[one.name] > 1 else ""
        found.append(replace(one, name=one.name + number))
    return found


def contents(rig: Rig) -> tuple[object, ...]:
    """All that makes one machine another, wherever it was written down."""
    said = rig.machine
    return (
        *(content(one) for one in (rig.board, rig.chassis, rig.power_supply)),
        *(rig.fitted, said.base_w, said.supply_limit_percent, said.airflow_lfm),
    )


def content(entity: Entity | None) -> str | None:
    """What a description says."""
    return entity.model_dump_json() if entity else None
