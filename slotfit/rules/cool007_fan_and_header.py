"""COOL007: fan that its header cannot govern."""

from collections.abc import Iterator

from slotfit.model.board import Board
from slotfit.model.reason import Look, Verdict, Wording
from slotfit.rule import Gap, SeatRule, Trial

GOVERNED = {3, 4}
"""Contacts of plugs and headers that go into one another: the fourth is for pulses."""


def judge(trial: Trial) -> Iterator[Verdict]:
    """A fan or hub whose plug does not fit its header, or whose speed nobody may govern."""
    header, spec = trial.receptacle.spec, trial.part.spec
    if header.form != "fan-header":
        return
    names = trial.named("kind", "receptacle")
    if header.pins is None or spec.pins is None:
        missing = "receptacle.pins" if header.pins is None else "kind.pins"
        yield RULE.doubt("fits", names, trial.said(missing))
    elif header.pins != spec.pins:
        facts = trial.said("part.pins", "receptacle.pins")
        if {header.pins, spec.pins} == GOVERNED:
            yield RULE.doubt("governed", names, facts, pins=spec.pins)
        else:
            named = trial.named("part", "receptacle")
            yield RULE.no("pins", named, facts, pins=spec.pins, there=header.pins)
    if spec.part_class == "fan":
        yield from too_slow(trial)


def too_slow(trial: Trial) -> Iterator[Verdict]:
    """A fan that turns more slowly than the management controller tolerates, or may do so."""
    floor, lowest = trial.machine.board.lowest_fan_rpm, trial.part.spec.min_rpm
    if floor is None:
        yield RULE.doubt("floor", trial.named("board"), trial.said("board.lowest_fan_rpm"))
    elif floor > 0 and (lowest is None or lowest < floor):
        facts = trial.said("kind.min_rpm", "board.lowest_fan_rpm")
        yield RULE.doubt("slow", trial.named("kind", "board"), facts, floor=floor)


def has_headers_alone(board: Board) -> bool:
    """Whether it has headers for fans, and nobody has said how slow one may be."""
    headers = any(one.form == "fan-header" for one in board.receptacles)
    return headers and board.lowest_fan_rpm is None


RULE = SeatRule(
    id="COOL007",
    title="fan that its header cannot govern",
    why="A fan of three contacts runs at full speed on a header that governs by pulses, and a "
    "quiet fan turns so slowly that a management controller takes it for failed and drives all "
    "others to full speed.",
    source="common practice, no source",
    says={
        "pins": Wording(
            "the plug of {part} has {pins} contacts and {receptacle} is made for {there}"
        )
    },
    looks={
        "fits": Look(
            "{receptacle}: plug of {kind}",
            "the plug of {kind} fits {receptacle}",
            "count the contacts of both: three and four go together, others only alike",
            decides=True,
        ),
        "governed": Look(
            "{receptacle}: governs {kind}",
            "{receptacle} is set to govern a fan of {pins} contacts",
            "the firmware menu of that header: volts (DC) for three contacts, pulses (PWM) for "
            "four",
        ),
        "floor": Look(
            "{board}: lowest speed of a fan",
            "the management controller of {board}, if there is one, tolerates slow fans",
            "its list of sensors shows a lower limit for each fan; without such a controller write "
            "`lowest_fan_rpm: 0`",
        ),
        "slow": Look(
            "{kind}: {floor:g} turns a minute at least",
            "{kind} never turns more slowly on {board} than {floor:g} times a minute",
            "set its least speed in the menu, or the lower limit in the controller",
        ),
    },
    gaps=(
        Gap(
            "receptacle",
            "pins",
            lambda one: one.form == "fan-header" and one.pins is None,
            "how many contacts it has is not said, so which fan goes there is in doubt",
            "look at it",
        ),
        Gap(
            "part",
            "pins",
            lambda part: part.plug.form == "fan-header" and part.pins is None,
            "how many contacts its plug has is not said, so which header takes it is in doubt",
            "look at it",
        ),
        Gap(
            "part",
            "min_rpm",
            lambda part: part.part_class == "fan" and part.min_rpm is None,
            "how slowly it may turn is not said, so a management controller may take it for failed",
            "its data sheet",
        ),
        Gap(
            "board",
            "lowest_fan_rpm",
            has_headers_alone,
            "whether it takes slow fans for failed is not said, so every fan is in doubt",
            "the list of sensors of its management controller; 0 where there is none",
        ),
    ),
    judge=judge,
)
