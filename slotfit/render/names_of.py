"""How receptacles, boards and what sits on them are called in a sentence."""

from __future__ import annotations

from slotfit.model.board import LaneGroup
from slotfit.model.part import Receptacle
from slotfit.model.problem import Problem, Rig, Site
from slotfit.render.words import link_text
from slotfit.standards.forms import FORMS


def label(site: Site) -> str:
    """The name printed beside it, with its id where the two are spelt otherwise."""
    printed, name = site.receptacle.label, short_name(site)
    return name if printed in (None, name) else f"{name} ({printed})"


def short_name(site: Site) -> str:
    """The name to use in a sentence: what is printed if that is spelt like the id."""
    printed = site.receptacle.label or ""
    return printed if letters(printed) == letters(site.id) else site.id


def letters(name: str) -> str:
    """A name without case and spaces."""
    return "".join(one for one in name.lower() if one.isalnum())


def receptacle_named(problem: Problem, machine: str, name: str) -> str:
    """A receptacle of a board by its id, called as in a sentence."""
    for site in problem.sites:
        if site.on_board and site.owner == machine and site.receptacle.id == name:
            return short_name(site)
    return name


def about(problem: Problem, site: Site) -> str:
    """`x16 slot, wired x8, 16 GT/s, CPU1`: what is known of it."""
    receptacle = site.receptacle
    said = [shape(receptacle)]
    if not site.on_board:
        return ", ".join([*said, f"on {site.owner}"])
    rig = problem.rig[site.owner]
    group = rig.group_of.get(receptacle.id)
    if group is None:
        return ", ".join([*said, *(["no lanes"] if FORMS[receptacle.form].buses else [])])
    return ", ".join([*said, wired(receptacle, group), *speed(group), origin(rig, group.from_)])


def shape(receptacle: Receptacle) -> str:
    """What the receptacle is."""
    if receptacle.form != "cem":
        return FORMS[receptacle.form].title
    size = f"x{receptacle.width} slot" if receptacle.width else "slot of unknown length"
    return size + (", open end" if receptacle.open_end else "")


def wired(receptacle: Receptacle, group: LaneGroup) -> str:
    """Lanes that reach it at most."""
    ways = [way for way in group.arrangements if way.gives.get(receptacle.id)]
    if not ways:
        return "no lanes"
    if all(way.proof is None for way in ways):
        return "wiring not known"
    lanes = max(pcie_lanes(way.gives[receptacle.id]) for way in ways)
    buses = dict.fromkeys(
        str(width).upper()
        for way in ways
        for width in way.gives[receptacle.id]
        if isinstance(width, str)
    )
    return "wired " + " or ".join([*([f"x{lanes}"] if lanes else []), *buses])


def pcie_lanes(widths: tuple[int | str, ...]) -> int:
    """PCIe lanes in all."""
    return sum(width for width in widths if isinstance(width, int))


def speed(group: LaneGroup) -> tuple[str, ...]:
    """`16 GT/s`."""
    if group.bus != "pcie":
        return (link_text(group.bus, group.generation, 1),) if group.generation else ()
    if group.generation is None:
        return ("speed not known",)
    return (link_text("pcie", group.generation, 1).removesuffix(" x1"),)


def origin(rig: Rig, from_: str | None) -> str:
    """The processor, or the hub behind it, as printed."""
    if from_ is None:
        return "processor not known"
    labels = {one.id: one.label for one in rig.board.processors}
    labels |= {one.id: one.label for one in rig.board.hubs}
    return labels.get(from_) or from_


def board_of(problem: Problem) -> tuple[str, str]:
    """Id and name of the board, or of the build if it has several."""
    if len(problem.rigs) > 1:
        return problem.id, problem.name or problem.id
    board = problem.rigs[0].board
    return board.id, board.name or board.id


SOCKET_NAMES = {
    "m2-m": "M.2",
    "m2-b": "M.2 key B",
    "m2-e": "M.2 key E",
    "u2": "U.2",
    "u3": "U.3",
    "e1s": "E1.S",
    "e1l": "E1.L",
    "e3s": "E3.S",
    "e3l": "E3.L",
    "cem": "slot",
}


def socket_name(form: str) -> str:
    """How the trade calls a socket of a form, in short."""
    return SOCKET_NAMES.get(form, form)
