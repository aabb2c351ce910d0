"""FIT005: body beyond the end of the row."""

from collections.abc import Iterator

from slotfit.listing import counted
from slotfit.model.reason import Cited, Look, Verdict, Wording
from slotfit.rule import Gap, SeatRule, Trial

BOUNDS = {
    "carrier": "{} has positions for",
    "row": "the row {} has positions for",
    "chassis": "{} has openings for",
}
"""Role of what bounds a row -> how to say that it does."""


def judge(trial: Trial) -> Iterator[Verdict]:
    """A body that needs more positions, or more openings, than there are from here on."""
    spec, part_spec = trial.part.spec, trial.receptacle.spec
    if part_spec.row is None or spec.plug.form not in ("cem", "opening"):
        return
    thickness = spec.thickness or 1
    for fact in rooms(trial):
        what, room = (fact.role, fact.thing), fact.value
        if room is None:
            needed = part_spec.position + thickness
            yield RULE.doubt("room", trial.named("machine"), (fact,), what=what, needed=needed)
        elif thickness > (left := max(room - part_spec.position, 0)):
            yield RULE.no(
                "beyond",
                trial.named("part", "receptacle"),
                (*trial.said("part.thickness"), fact),
                {"what": what, "room": room},
                thickness=thickness,
                left=left,
            )
    if spec.thickness is None:
        yield RULE.doubt("thickness", trial.named("kind"), trial.said("kind.thickness"))


def rooms(trial: Trial) -> Iterator[Cited]:
    """What bounds the row, with its length in positions."""
    row = trial.receptacle.spec.row
    if not trial.receptacle.on_board:
        riser = trial.problem.part[trial.receptacle.owner]
        yield Cited("carrier", riser.id, riser.spec, "row_positions")
        return
    board, chassis = trial.machine.board, trial.machine.chassis
    for one in board.rows:
        if one.id == row:
            yield Cited("row", one.id, one, "positions")
    if chassis and board.rows and row == board.rows[0].id:
        yield Cited("chassis", chassis.id, chassis, "openings")


def bound(what: tuple[str, str]) -> str:
    """What has so many of what."""
    role, name = what
    return BOUNDS[role].format(name)


RULE = SeatRule(
    id="FIT005",
    title="body beyond the end of the row",
    why="A thick card needs the positions and the bracket openings that it covers.",
    source="CEM slot pitch of 20.32 mm, from memory; openings from the chassis",
    says={
        "beyond": Wording(
            "{part} is {thickness} thick and from {receptacle} on there is room for {left}",
            "{what} {room}",
            words={"thickness": lambda count: counted(count, "slot"), "what": bound},
        )
    },
    looks={
        "room": Look(
            "{machine}: {what} {needed} or more",
            "{what} {needed} or more, counted from the first position of its row",
            "count the bracket openings at the rear, or the places for brackets on the riser",
            words={"what": bound},
        ),
        "thickness": Look(
            "{kind}: one slot thick",
            "{kind} is one slot thick",
            "measure the thickest point from the board's back: up to about 17 mm is one slot, each "
            "further slot is 20.32 mm",
        ),
    },
    gaps=(
        Gap(
            "part",
            "thickness",
            lambda part: part.thickness is None and part.is_card,
            "how many slots it covers is not said; one is assumed, and answers rest on it",
            "measure from the back of its board: up to about 17 mm is 1, each further 20.32 mm 1 "
            "more",
        ),
        Gap(
            "chassis",
            "openings",
            lambda case: case.openings is None,
            "how many bracket openings it has is not said, so thick cards at the end are in doubt",
            "count them",
            changes=("place",),
        ),
        Gap(
            "machine",
            "chassis",
            lambda machine: machine.chassis is None,
            "no chassis is named, so nobody asks about length, height, openings, bays and air",
            "its manual, or a ruler; `slotfit catalog show tower-mid` shows what to say",
            changes=("place", "check", "compare"),
        ),
    ),
    judge=judge,
)
