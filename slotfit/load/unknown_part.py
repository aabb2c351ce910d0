"""Parts of which only the place is known: `part: unknown` in a build file."""

from __future__ import annotations

from collections.abc import Iterable

from slotfit.load.checks import Complaints
from slotfit.model.board import Board
from slotfit.model.build import UNKNOWN, BuildPart
from slotfit.model.part import PartSpec, Plug
from slotfit.standards.forms import CABLED


def unknown_part(wish: BuildPart, boards: Iterable[Board | None], found: Complaints) -> PartSpec:
    """Something with the plug of the receptacle that it is in, unknown in all else."""
    if wish.pin is None:
        text = "where is it? an unknown part needs `pin`, the receptacle of a board that it is in"
        found.add(wish, "part", text)
    name = (wish.pin or "").rpartition("/")[2]
    receptacles = [one for board in boards if board for one in board.receptacles]
    form = next((one.form for one in receptacles if one.id == name), "cem")
    said = {"form": form, "gender": "plug"} if form in CABLED else {"form": form}
    plug = Plug.model_validate(said)
    made = PartSpec(id=UNKNOWN, name="something unknown", plug=plug)
    if span := wish.span("part"):
        made.marks[""] = plug.marks[""] = span
    return made
