"""A board's slot row with nothing in it."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from slotfit.model.plan import Answer, Plan
from slotfit.model.problem import Problem
from slotfit.model.seat import Seating
from slotfit.model.status import Status
from slotfit.render.picture import write_row
from slotfit.render.view import View
from slotfit.render.view_of import view_of


def bare(problem: Problem) -> View:
    """The machines as they come: no part, and what the boards do if nothing is set."""
    nothing = Answer(Status.PROVEN, Plan((), {}, (), (), ()), 0.0)
    view = view_of(problem, Seating((), ()), nothing)
    named = tuple(replace(machine, name=machine.board) for machine in view.machines)
    return replace(view, headline="", machines=named)


def write_bare(problem: Problem, file: Path) -> None:
    """The row as .svg or .png. Raises InputError for another ending or a bad path."""
    write_row(bare(problem), file, "flat")
