"""Which boards to try: named ones, the catalog's, with more or fewer processors."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path

from slotfit.choose.compare import Candidate
from slotfit.errors import InputError, Mistake
from slotfit.load.build_file import load_build
from slotfit.load.catalog import Catalog, kind_of
from slotfit.model.board import Board
from slotfit.model.problem import Problem

Broken = tuple[str, str]
"""A board's name, and what is wrong with it."""


def machine_asked(problem: Problem, machine: str | None) -> str:
    """The machine whose board is exchanged. Raises InputError if it is not clear which."""
    ids = [rig.id for rig in problem.rigs]
    if machine is None and len(ids) == 1:
        return ids[0]
    if machine not in ids:
        wrong = f"there is no machine {machine}" if machine else "several machines: name one"
        raise InputError([Mistake("--machine", "", f"{wrong}; expected one of {', '.join(ids)}")])
    return machine


def named(argument: str, catalog: Catalog) -> Iterator[Candidate]:
    """A catalog id or a board file; a build file stands for the boards of its machines."""
    path = Path(argument)
    if path.is_file() and kind_of(path) == "build":
        for rig in load_build(path, catalog).rigs:
            yield Candidate(rig.board.id, rig.board, len(rig.fitted))
        return
    board = catalog.given(argument, Board, "BOARD")
    yield Candidate(board.id, board)


def gathered(arguments: Sequence[str], catalog: Catalog) -> tuple[list[Candidate], list[Broken]]:
    """Every board named; one with mistakes in it is set aside and the rest go on."""
    good: list[Candidate] = []
    broken: list[Broken] = []
    for argument in arguments:
        try:
            good += named(argument, catalog)
        except InputError as error:
            broken.append((argument, str(error)))
    return good, broken


def whole_catalog(catalog: Catalog) -> tuple[list[Candidate], list[Broken]]:
    """Every board of the catalog, in the order of their ids."""
    return gathered(catalog.ids(Board), catalog)


def with_processors(candidates: Sequence[Candidate], counts: Sequence[int]) -> list[Candidate]:
    """Each board with each number of processors that it has sockets for."""
    if not counts:
        return list(candidates)
    return [
        Candidate(f"{one.name} with {count}", one.board, count)
        for one in candidates
        for count in counts
        if count <= len(one.board.processors)
    ]


def unique(candidates: Sequence[Candidate]) -> list[Candidate]:
    """Boards of one name told apart by a number, so that no row hides another."""
    seen: dict[str, int] = {}
    found: list[Candidate] = []
    for one in candidates:
        seen[one.name] = seen.get(one.name, 0) + 1
        number = f" ({seen[one.name]})" if seen[one.name] > 1 else ""
        found.append(Candidate(one.name + number, one.board, one.fitted))
    return found
