"""Questions as they are asked: parts and boards by their names, files or words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from slotfit.answers.check.answer import CarriersAnswer, CheckAnswer
from slotfit.answers.check.check import check as check_part
from slotfit.answers.check.every import carriers as carriers_by_slot
from slotfit.answers.check.given import every_drive, on_sockets, part_given
from slotfit.answers.check.machine_asked import (
    MachineOptions,
    held_to,
    loaded_with,
    machine_asked,
    names_own,
    question_of,
    taken_out,
)
from slotfit.answers.check.question import Question
from slotfit.answers.no_plan.shop import Shop
from slotfit.load.catalog import Catalog, carriers_for

ALONE = MachineOptions()


def check(
    part: str,
    board: str,
    catalog: Catalog,
    around: MachineOptions = ALONE,
    given: Sequence[str] = (),
    slot: str | None = None,
) -> CheckAnswer:
    """
    Whether a part works in each receptacle of a board, and what would make it work.

    `part`: a catalog id, a file, a part of the build, or the part written out. `board`: a catalog
    id, a board's file, or a build file. `around`: what else the machine has. `given`: what sits on
    the part, `DRIVE` or `SOCKET=DRIVE`. `slot`: this receptacle only. Raises InputError.
    """
    question = question_asked(part, board, catalog, around, given, slot)
    return check_part(question, Shop(catalog))


def carriers(
    board: str,
    catalog: Catalog,
    around: MachineOptions = ALONE,
    given: Sequence[str] = (),
    slot: str | None = None,
) -> CarriersAnswer:
    """
    Slot by slot, which kinds of drive carrier would show how many drives.

    Parameters as of `check`; `given` are the drives. Raises InputError.
    """
    machine, _ = machine_asked(board, around, catalog)
    drives = [*every_drive(given, catalog)]
    parts = carriers_for(catalog, [drive.plug.form for _, drive in drives])
    questions = (question_of(machine, part, drives, slot) for part in parts)
    return carriers_by_slot(machine, questions)


def question_asked(
    part: str,
    board: str,
    catalog: Catalog,
    around: MachineOptions = ALONE,
    given: Sequence[str] = (),
    slot: str | None = None,
) -> Question:
    """The question that `check` answers. Raises InputError."""
    machine, build = machine_asked(board, around, catalog)
    if build is not None and part in build.part:
        out = taken_out(machine, build, part)
        if names_own(build, given):
            out = loaded_with(out, build, given)
        elif given:
            taken = {part.id for part in (*out.machine.parts, out.part)}
            drives = [*every_drive(given, catalog)]
            out = replace(out, drives=tuple(on_sockets(out.part, drives, taken)))
        return held_to(out.machine, out.part, out.drives, slot, machine.today.get(part))
    drives = [*every_drive(given, catalog)]
    return question_of(machine, part_given(part, catalog, drives), drives, slot)
