"""From a machine to files, and from files back to a problem."""

from __future__ import annotations

from pathlib import Path

from slotfit.answers.read.files import Description, describe, write_files
from slotfit.answers.read.yaml_text import Places
from slotfit.engine.seats import seat_all
from slotfit.load.build_file import load_build
from slotfit.load.catalog import Catalog
from slotfit.model.problem import Problem
from slotfit.read.machine import MachineSeen
from slotfit.rulebook import SEAT_RULES


def described(seen: MachineSeen, name: str = "marsh") -> Description:
    return describe(seen, name, Places())


def loaded(made: Description, folder: Path) -> Problem:
    """The problem that the written files state; raises InputError with all that is wrong."""
    write_files(folder, made.files, force=True)
    return load_build(folder / "build.yaml", Catalog(()))


def refused_today(problem: Problem) -> dict[str, list[str]]:
    """Parts that no rule lets sit where they sit today, with the objections."""
    seating = seat_all(problem, SEAT_RULES)
    allowed = {(seat.part, seat.receptacle) for seat in seating.seats}
    return {
        part: [
            objection.text
            for refusal in seating.refusals
            if (refusal.seat.part, refusal.seat.receptacle) == (part, receptacle)
            for objection in refusal.objections
        ]
        for part, receptacle in problem.today.items()
        if (part, receptacle) not in allowed
    }
