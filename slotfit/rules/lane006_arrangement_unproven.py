"""LANE006: arrangement nobody has proven."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.model.board import Arrangement
from slotfit.model.seat import Doubt, Fact, Verdict
from slotfit.rule import SeatRule, Trial, arrangement_of


def judge(trial: Trial) -> Iterator[Verdict]:
    """A seat that needs an arrangement which is only listed in a menu, or which nobody has named."""
    chosen = arrangement_of(trial)
    if chosen is None or not trial.links or chosen.proof not in (None, "menu-only"):
        return
    yield Doubt(RULE.id, unproven(trial, chosen))


def unproven(trial: Trial, chosen: Arrangement) -> Fact:
    """The fact that the arrangement works."""
    shape = "+".join(f"x{width}" for width in chosen.gives.get(trial.site.receptacle.id, ()))
    listed = chosen.proof == "menu-only"
    menu = f"the menu entry {chosen.setting!r}" if chosen.setting else "the lane split menu"
    return Fact(
        f"{trial.offer.group}: {chosen.id}",
        f"{trial.offer.root} can be arranged as {shape}"
        + (" (only listed in a menu)" if listed else " (nobody has said so)"),
        f"the board manual's slot table; or set {menu}, fit the part, and count "
        "the links with `lspci`: two minutes, nothing else need be changed",
        chosen.span(),
    )


RULE = SeatRule(
    id="LANE006",
    title="arrangement nobody has proven",
    why="Menus list divisions that a board does not do; a flag says nothing about which exist.",
    source="facts H1 and D4a: menus name ports, and a bifurcation flag gives no modes",
    judge=judge,
)
