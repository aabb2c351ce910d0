"""`slotfit check`: will this part work here, and what would make it work."""

from __future__ import annotations

from typing import TYPE_CHECKING

import typer

from slotfit.cli.asked import (
    Board,
    InChassis,
    OneMachine,
    Part,
    Processors,
    Slot,
    Supply,
    With,
    around,
    file_of,
)
from slotfit.cli.options import AsJson, CatalogDirs, catalog_of

if TYPE_CHECKING:
    from collections.abc import Iterator

    from slotfit.check.other_parts import Shelf
    from slotfit.check.question import Question
    from slotfit.load.catalog import Catalog
    from slotfit.load.machine_asked import Around
    from slotfit.model.part import Part as PartOf
    from slotfit.render.check.view import CheckView


def check(
    part: Part,
    board: Board,
    slot: Slot = None,
    with_: With = None,
    machine: OneMachine = None,
    chassis: InChassis = None,
    power_supply: Supply = None,
    processors: Processors = None,
    catalog: CatalogDirs = None,
    json: AsJson = False,
) -> None:
    """
    Say whether a part works in each receptacle of a board, and what would make it work.

    Example: slotfit check carrier-m2x4-gen4 desktop-steered --with nvme-2280-gen4
    """
    from slotfit import api  # noqa: PLC0415
    from slotfit.cli.exits import NO  # noqa: PLC0415
    from slotfit.render.check.view_of import check_view_of  # noqa: PLC0415

    known = catalog_of(catalog, file_of(board))
    there = around(chassis, power_supply, processors, machine)
    question = asked(part, board, there, with_ or [], slot, known)
    answer = api.check(question, offered(known))
    print(shown(check_view_of(answer), as_json=json), end="")
    raise typer.Exit(0 if answer.good else NO)


def offered(catalog: Catalog) -> Shelf:
    """What else could stand there, looked for once the part is found not to work."""

    def parts(form: str, count: int) -> Iterator[PartOf]:
        from slotfit.load.shelf import Shelf  # noqa: PLC0415

        return Shelf(catalog).parts(form, count)

    return parts


def shown(view: CheckView, *, as_json: bool) -> str:
    """The answer as it is printed."""
    if as_json:
        from slotfit.render.as_json import as_json as told  # noqa: PLC0415

        return told(view)
    from slotfit.render.check.text import check_text  # noqa: PLC0415

    return check_text(view)


def asked(
    part: str, board: str, there: Around, given: list[str], slot: str | None, catalog: Catalog
) -> Question:
    """What the command line asks. Raises InputError."""
    from slotfit.load.machine_asked import (  # noqa: PLC0415
        loaded_with,
        machine_asked,
        names_own,
        taken_out,
    )
    from slotfit.load.question import every_drive, held_to, part_given, question_of  # noqa: PLC0415

    machine, build = machine_asked(board, there, catalog)
    if build is not None and part in build.item:
        out = taken_out(machine, build, part)
        if names_own(build, given):
            out = loaded_with(out, build, given)
        elif given:
            return question_of(out.machine, out.item.part, [*every_drive(given, catalog)], slot)
        return held_to(out.machine, out.item, out.drives, slot, machine.today.get(part))
    drives = [*every_drive(given, catalog)]
    return question_of(machine, part_given(part, catalog, drives), drives, slot)
