"""`slotfit check`: will this part work here, and what would make it work."""

from __future__ import annotations

from functools import partial

import typer

from slotfit.answers.check.check import check as check_part
from slotfit.answers.check.every import carriers as carriers_by_slot
from slotfit.answers.check.machine_asked import (
    MachineOptions,
    every_drive,
    held_to,
    loaded_with,
    machine_asked,
    names_own,
    part_given,
    question_of,
    taken_out,
)
from slotfit.answers.check.question import Question
from slotfit.answers.check.text import carriers_text, check_text
from slotfit.answers.text_layout import as_json
from slotfit.cli.options import (
    AsJson,
    Board,
    CatalogDirs,
    InChassis,
    OneMachine,
    Part,
    Processors,
    Slot,
    Supply,
    With,
    around,
    catalog_of,
    file_of,
)
from slotfit.cli.output import NO
from slotfit.load.catalog import Catalog, carriers_for, parts_with


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
    known = catalog_of(catalog, file_of(board))
    there = around(chassis, power_supply, processors, machine)
    question = asked(part, board, there, with_ or [], slot, known)
    answer = check_part(question, partial(parts_with, known))
    print(as_json(answer) if json else check_text(answer), end="")
    raise typer.Exit(0 if answer.good else NO)


def asked(
    part: str,
    board: str,
    there: MachineOptions,
    given: list[str],
    slot: str | None,
    catalog: Catalog,
) -> Question:
    """What the command line asks. Raises InputError."""
    machine, build = machine_asked(board, there, catalog)
    if build is not None and part in build.part:
        out = taken_out(machine, build, part)
        if names_own(build, given):
            out = loaded_with(out, build, given)
        elif given:
            return question_of(out.machine, out.part.spec, [*every_drive(given, catalog)], slot)
        return held_to(out.machine, out.part, out.drives, slot, machine.today.get(part))
    drives = [*every_drive(given, catalog)]
    return question_of(machine, part_given(part, catalog, drives), drives, slot)


def carriers(
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
    Say, slot by slot, which kinds of drive carrier would show how many drives.

    Example: slotfit carriers old-menu-lies
    """
    known = catalog_of(catalog, file_of(board))
    there, _ = machine_asked(board, around(chassis, power_supply, processors, machine), known)
    drives = [*every_drive(with_ or [], known)]
    parts = carriers_for(known, [drive.plug.form for _, drive in drives])
    questions = (question_of(there, part, drives, slot) for part in parts)
    answer = carriers_by_slot(there, questions)
    print(as_json(answer) if json else carriers_text(answer), end="")
    raise typer.Exit(0 if answer.plan.slots else NO)
