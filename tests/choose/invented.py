"""Small invented builds and boards, written as files are, and ways to change a board."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import cache
from pathlib import Path
from typing import Any

from slotfit.answers.compare.answer import BoardTried
from slotfit.answers.compare.boards import Candidate, names_dropped
from slotfit.answers.compare.compare import BoardQuestion, tried_on
from slotfit.load.build_file import load_build, load_build_text
from slotfit.load.catalog import Catalog, standard_catalog
from slotfit.load.entities import read_inline
from slotfit.model.board import Board
from slotfit.model.problem import Problem
from tests.limits import SECONDS

ROOT = Path(__file__).parents[2]

TWO_SLOTS = """
kind: board
id: two-slots
invented: true
size: atx
processors: [{id: cpu0}, {id: cpu1}]
rows: [{id: rear, positions: 2}]
receptacles:
  - {id: slot1, form: cem, width: 16, open_end: false, row: rear, position: 0, power_w: 75,
     from: cpu0, generation: 4, lanes: 16, splits: []}
  - {id: slot2, form: cem, width: 8, open_end: false, row: rear, position: 1, power_w: 25,
     from: cpu1, generation: 3, lanes: 4, splits: []}
"""

ONE_PROCESSOR = """
kind: board
id: one-processor
invented: true
size: atx
processors: [{id: p0}]
rows: [{id: rear, positions: 2}]
receptacles:
  - {id: a, form: cem, width: 16, open_end: false, row: rear, position: 0, power_w: 75,
     from: p0, generation: 4, lanes: 16, splits: []}
  - {id: b, form: cem, width: 16, open_end: false, row: rear, position: 1, power_w: 75,
     from: p0, generation: 4, lanes: 8, splits: []}
"""

CARD = (
    "{{id: {0}, plug: cem x8, links: x8, generation: 3, thickness: 1, length_mm: 160, "
    "height_mm: 110, bracket: full, power: {{slot_w: 20}}, demand: 5, cooling: none}}"
)


@cache
def catalog() -> Catalog:
    """The catalog that comes along, and no other."""
    return standard_catalog(())


@cache
def demo() -> Problem:
    """The demo's build."""
    return load_build(ROOT / "examples/demo/build.yaml", catalog())


def board(text: str = TWO_SLOTS) -> Board:
    """A board from a piece of YAML."""
    return read_inline(text, Board, "board")


def build(parts: str, text: str = TWO_SLOTS, more: str = "", machine: str = "") -> Problem:
    """A build of one machine `box` with that board; `parts` are lines of YAML."""
    inside = "\n".join(f"      {line}" for line in text.strip().splitlines())
    return load_build_text(
        f"kind: build\nid: small\nmachines:\n  - id: box\n{machine}    board:\n{inside}\n"
        f"parts:\n{parts}\n{more}",
        catalog(),
    )


def cards(*names: str, **wishes: str) -> str:
    """Lines for `parts`: cards of eight lanes, each perhaps with wishes."""
    return "\n".join(
        f"  - {{id: {name}, part: {CARD.format(f'part-{name}')}{wishes.get(name, '')}}}"
        for name in names
    )


def tried(problem: Problem, *candidates: Candidate, **more: Any) -> tuple[BoardTried, ...]:
    """Every candidate in turn, in the first machine."""
    machine = problem.machines[0].id
    dropped = names_dropped(problem, machine, candidates)
    return tried_on(BoardQuestion(problem, machine, SECONDS, dropped, **more), candidates)


def renamed(old: Board, name: Callable[[str], str], *, turned: bool = False) -> Board:
    """The same board with other names for all it has, and perhaps in the reverse order."""

    def order(things: Any) -> tuple[Any, ...]:
        return tuple(things)[::-1] if turned else tuple(things)

    def group(one: Any) -> Any:
        ways = tuple(
            way.model_copy(update={"gives": {name(k): w for k, w in way.gives.items()}})
            for way in one.arrangements
        )
        return one.model_copy(
            update={
                "id": name(one.id),
                "from_": one.from_ and name(one.from_),
                "arrangements": ways,
            }
        )

    def receptacle(one: Any) -> Any:
        return one.model_copy(
            update={
                "id": name(one.id),
                "from_": one.from_ and name(one.from_),
                "row": one.row and name(one.row),
                "isolation": one.isolation and name(one.isolation),
                "blocked_by": tuple(map(name, one.blocked_by)),
                "under": tuple(map(name, one.under)),
            }
        )

    hubs = (
        one.model_copy(update={"id": name(one.id), "from_": name(one.from_)}) for one in old.hubs
    )
    return old.model_copy(
        update={
            "id": name(old.id),
            # Their order says which processor is which, and their first row has the openings.
            "processors": tuple(
                one.model_copy(update={"id": name(one.id)}) for one in old.processors
            ),
            "rows": tuple(one.model_copy(update={"id": name(one.id)}) for one in old.rows),
            "hubs": order(hubs),
            "lane_groups": order(map(group, old.lane_groups)),
            "receptacles": order(map(receptacle, old.receptacles)),
        }
    )


def in_order(name: str) -> str:
    """A new name that sorts where the old one did."""
    return f"other-{name}"


def out_of_order(name: str) -> str:
    """A new name that sorts elsewhere: the names' last letters come first."""
    return f"n{name[::-1]}".replace("_", "-")


def values(result: BoardTried) -> Mapping[str, int]:
    """What a board comes to, required parts that are missing first."""
    assert result.plan, result
    missing = {"missing": len(result.plan.missing)}
    return missing | {one.stage: one.value for one in result.plan.stages}
