"""`slotfit draw`: the plan as a picture."""

from __future__ import annotations

import sys
from enum import Enum
from pathlib import Path
from typing import Annotated, NoReturn

import typer

from slotfit.answers.answer_word import EXIT
from slotfit.answers.no_plan.explain import explain, no_plan_answer
from slotfit.answers.no_plan.shop import Shop
from slotfit.answers.no_plan.text import no_plan_in_short
from slotfit.answers.place.answer import PlaceAnswer
from slotfit.answers.place.of_plan import place
from slotfit.answers.place.plan import best_plan
from slotfit.answers.sequence.plan import sequence
from slotfit.cli.drawing import What, check_targets
from slotfit.cli.options import BuildFile, CatalogDirs, Seconds, catalog_of
from slotfit.cli.progress import shown_progress
from slotfit.draw.picture import topology_svg, write_svg, write_topology
from slotfit.draw.slot_row import slot_row_svg
from slotfit.draw.topology import topology
from slotfit.draw.windows import windows_svg
from slotfit.errors import InputError
from slotfit.load.build_file import load_build
from slotfit.load.catalog import Catalog
from slotfit.model.plan import Status
from slotfit.model.problem import Problem
from slotfit.solve.place import Progress


class Shown(Enum):
    """Which picture."""

    ROW = "row"
    TOPOLOGY = "topology"
    WINDOWS = "windows"


class StandOption(Enum):
    """How the board lies before the reader."""

    FLAT = "flat"
    TOWER = "tower"


ViewOption = Annotated[
    Shown,
    typer.Option(
        "--view",
        help="Draw the slot row from above, processors, lanes and links, or the way there.",
    ),
]
Stands = Annotated[
    StandOption,
    typer.Option(
        "--stand", help="Let the row stand as in a tower, or lie flat, rear edge nearest to you."
    ),
]
Output = Annotated[
    Path | None,
    typer.Option(
        "--output",
        "-o",
        metavar="FILE",
        help="Write this file (.svg, .png; topology also .dot); none: SVG is printed.",
    ),
]


def draw(
    build: BuildFile,
    view: ViewOption = Shown.ROW,
    output: Output = None,
    stand: Stands = StandOption.TOWER,
    seconds: Seconds = 60.0,
    catalog: CatalogDirs = None,
) -> None:
    """
    Draw the plan: the slot row with every card in its place, the topology, or the way there.

    Example: slotfit draw examples/demo/build.yaml --view row -o row.svg
    """
    # Windows are written to the same kinds of file as rows.
    shape: What = "topology" if view is Shown.TOPOLOGY else "row"
    check_targets([output] if output else [], shape)
    known = catalog_of(catalog, build)
    problem = load_build(build, known)
    if view is Shown.WINDOWS:
        windows(problem, known, seconds, output)
    with shown_progress() as progress:
        placed = best_plan(problem, seconds, progress)
        answer = place(problem, found=placed)
        left = max(seconds - placed.seconds, 0.0)
        impossible = placed.status is Status.IMPOSSIBLE
        why = why_none(answer, problem, Shop(known), left, progress) if impossible else ()
    if view is Shown.ROW:
        write_or_print(slot_row_svg(answer, stand.value, no_plan=why), output)
    elif output:
        write_topology(answer, output, why)
    else:
        print(topology_svg(topology(answer, why)))
    code = EXIT[answer.verdict.word]
    if code:
        print(f"{answer.verdict.headline}.", file=sys.stderr)
    raise typer.Exit(code)


def why_none(
    answer: PlaceAnswer, problem: Problem, shop: Shop, seconds: float, progress: Progress
) -> tuple[str, ...]:
    """Why there is no plan and what would help."""
    told = no_plan_answer(explain(problem, shop, seconds, progress=progress))
    return tuple(no_plan_in_short(answer, told))


def write_or_print(drawing: str, output: Path | None) -> None:
    """A drawing to a file, or as SVG to the terminal."""
    if output:
        write_svg(drawing, output)
    else:
        print(drawing)


def windows(problem: Problem, catalog: Catalog, seconds: float, output: Path | None) -> NoReturn:
    """The windows from today's layout to the plan, as `slotfit sequence` finds them."""
    with shown_progress() as progress:
        answer = sequence(problem, Shop(catalog), seconds, progress)
    try:
        drawing = windows_svg(answer)
    except InputError as error:  # there are none; the exit code says why
        print(error, file=sys.stderr)
    else:
        write_or_print(drawing, output)
    raise typer.Exit(EXIT[answer.verdict.word])
