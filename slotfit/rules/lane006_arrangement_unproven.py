"""LANE006: arrangement not proven."""

from collections.abc import Iterator

from slotfit.model.board import Arrangement
from slotfit.model.reason import Cited, Look, Verdict
from slotfit.rule import Gap, SeatRule, Trial, arrangement_of, gets


def judge(trial: Trial) -> Iterator[Verdict]:
    """A seat that needs an arrangement that is only listed in a menu, or that nobody has named."""
    chosen = arrangement_of(trial)
    if chosen is None or not trial.links or chosen.proof not in (None, "menu-only"):
        return
    group, several = str(trial.upstream.group or trial.machine.id), len(trial.problem.machines) > 1
    told = {
        "on": trial.machine.id if several else None,
        "gets": gets(chosen),
        "proof": chosen.proof,
        "menu": chosen.setting,
    }
    names = {"group": group, "arrangement": str(chosen.id)}
    facts = (Cited("arrangement", str(chosen.id), chosen, "proof"),)
    yield RULE.doubt("proof", names, facts, told)


def is_unproven(way: Arrangement) -> bool:
    """Whether it is only listed, or divides a receptacle and nobody has said that it works."""
    ports = [[one for one in given if isinstance(one, int)] for given in way.gives.values()]
    divides = any(len(given) > 1 for given in ports)
    return way.proof == "menu-only" or (way.proof is None and divides)


RULE = SeatRule(
    id="LANE006",
    title="arrangement not proven",
    why="Menus list divisions that a board does not do; a flag says nothing about which exist.",
    source="menu names and the SMBIOS bifurcation flag in open firmware, EDK2-platforms, read in "
    "the source",
    looks={
        "proof": Look(
            "{group}: {arrangement}",
            "{on}lanes can be divided as {gets}, which {proof}",
            "the board manual's slot table; or set {menu}, fit the part, and count the links with "
            "`lspci`: two minutes, nothing else need be changed",
            decides=True,
            words={
                "on": lambda machine: f"on {machine} " if machine else "",
                "proof": lambda proof: (
                    "is only listed in a menu" if proof else "nobody has confirmed"
                ),
                "menu": lambda entry: (
                    f"the menu entry {entry!r}" if entry else "the lane split menu"
                ),
            },
        )
    },
    gaps=(
        Gap(
            "short receptacle",
            "lanes",
            lambda one: one.lanes is None,
            "how many lanes are wired is not said, so how wide anything trains here is not known",
            "the manual's slot table or block diagram; a label such as `x8 (in x16)` means 8 wired "
            "lanes",
            changes=("place", "check", "compare"),
        ),
        Gap(
            "divisible receptacle",
            "splits",
            lambda one: one.splits is None,
            "divisions are not said, so whether a passive carrier shows more than one drive here "
            "cannot be answered",
            "the manual's chapter on firmware settings (bifurcation), or the menu itself; write "
            "`splits: []` if there is none",
            changes=("check", "place", "compare"),
        ),
        Gap(
            "arrangement",
            "proof",
            is_unproven,
            "nobody has seen this division work, so answers that need it rest on it",
            "if the manual lists it, write `proof: documented`; else choose it and look what the "
            "machine lists, then write `proof: seen` or `proof: refuted`",
            changes=("check", "place", "compare"),
        ),
    ),
    judge=judge,
)
