"""LANE006: arrangement nobody has proven."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.model.board import Arrangement
from slotfit.model.seat import Doubt, Fact, Verdict
from slotfit.rule import SeatRule, Trial, arrangement_of, gets


def judge(trial: Trial) -> Iterator[Verdict]:
    """A seat that needs an arrangement that is only listed in a menu, or that nobody has named."""
    chosen = arrangement_of(trial)
    if chosen is None or not trial.links or chosen.proof not in (None, "menu-only"):
        return
    yield Doubt(RULE.id, unproven(trial, chosen))


def unproven(trial: Trial, chosen: Arrangement) -> Fact:
    """The fact that the arrangement works."""
    group = trial.offer.group or trial.rig.id
    listed = chosen.proof == "menu-only"
    menu = f"the menu entry {chosen.setting!r}" if chosen.setting else "the lane split menu"
    where = f"on {trial.rig.id} " if len(trial.problem.rigs) > 1 else ""
    return Fact(
        f"{group}: {chosen.id}",
        f"{where}lanes can be divided as {gets(chosen)}, which "
        + ("is only listed in a menu" if listed else "nobody has confirmed"),
        f"the board manual's slot table; or set {menu}, fit the part, and count the links with "
        "`lspci`: two minutes, nothing else need be changed",
        chosen.span("proof"),
    )


RULE = SeatRule(
    id="LANE006",
    title="arrangement nobody has proven",
    why="Menus list divisions that a board does not do; a flag says nothing about which exist.",
    source="menu names and the SMBIOS bifurcation flag in open firmware, EDK2-platforms, read in "
    "the source",
    judge=judge,
)
