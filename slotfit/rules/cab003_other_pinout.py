"""CAB003: cable wired for another header."""

from collections.abc import Iterator

from slotfit.model.part import PartSpec
from slotfit.model.reason import Look, Verdict
from slotfit.rule import Gap, SeatRule, Trial

SEVERAL_PINOUTS = ("slimsas-4", "slimsas-8", "mcio-4", "mcio-8", "oculink-4")
"""Forms of whose contacts beside the lanes makers make different use."""
WITH_SIDEBANDS = ("u2", "u3", "u2-u3")
"""Drives' connectors that need those contacts: reset, clock, presence."""


def judge(trial: Trial) -> Iterator[Verdict]:
    """A cable from such a header to drives, of which nobody has said that it is made for it."""
    if not goes_wrong(trial.part.spec):
        return
    owner = trial.problem.part.get(trial.receptacle.owner)
    host = owner.spec.id.partition(":")[0] if owner else trial.machine.board.id
    if host not in (trial.part.spec.wired_for or ()):
        names = {**trial.named("kind"), "host": host}
        yield RULE.doubt("host", names, trial.said("kind.wired_for"))


def goes_wrong(part: PartSpec) -> bool:
    """Whether it leads from such a header to a drive's connector."""
    ends = {one.form for one in part.receptacles}
    is_cable = part.part_class == "cable" and part.plug.form in SEVERAL_PINOUTS
    return is_cable and not ends.isdisjoint(WITH_SIDEBANDS)


RULE = SeatRule(
    id="CAB003",
    title="cable wired for another header",
    why="Beside the lanes run reset, clock and presence, on contacts that makers of boards and "
    "adapters chose each for themselves: with the wrong cable the drive is not seen.",
    source="pinouts of SlimSAS vary by maker, as quoted; the others: common practice, no source",
    looks={
        "host": Look(
            "{kind}: wired for {host}",
            "{kind} is wired for the headers of {host}",
            "the maker of {host} names the cables, or the pinout that they need; compare it with "
            "the cable's drawing; else try one drive before data is on it. Then `wired_for`",
            decides=True,
        )
    },
    gaps=(
        Gap(
            "part",
            "wired_for",
            lambda part: goes_wrong(part) and part.wired_for is None,
            "for which boards' or cards' headers it is wired is not said, so whether its drives "
            "are seen is in doubt",
            "the maker of the board or card names the cables; compare the drawings",
        ),
    ),
    judge=judge,
)
