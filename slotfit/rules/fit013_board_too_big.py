"""FIT013: board the chassis has no stand-offs for."""

from collections.abc import Iterator

from slotfit.model.problem import Machine
from slotfit.model.reason import Cited, Look, No, Verdict, Wording
from slotfit.rule import Gap, SeatRule, Trial


def judge(trial: Trial) -> Iterator[Verdict]:
    """Nothing goes into a machine whose board does not go into its chassis."""
    board, chassis = trial.machine.board, trial.machine.chassis
    if chassis is None or not trial.receptacle.on_board:
        return
    yield from refused(trial.machine)
    if chassis.sizes is None or board.size in (None, "proprietary"):
        facts = trial.said("board.size", "chassis.sizes")
        names = trial.named("machine", "board")
        yield RULE.doubt("stand-offs", names, facts, {"chassis": chassis.id})


def refused(machine: Machine) -> Iterator[No]:
    """The chassis has no stand-offs where the board has its holes."""
    board, chassis = machine.board, machine.chassis
    if board.size in (None, "proprietary") or chassis is None or chassis.sizes is None:
        return
    if board.size not in chassis.sizes:
        facts = (
            Cited("board", board.id, board, "size"),
            Cited("chassis", chassis.id, chassis, "sizes"),
        )
        yield RULE.no(
            "size",
            {},
            facts,
            board=board.id,
            size=board.size,
            chassis=chassis.id,
            sizes=chassis.sizes,
        )


RULE = SeatRule(
    id="FIT013",
    title="board the chassis has no stand-offs for",
    why="A board is screwed to stand-offs at the places its size prescribes.",
    source="board file, `size`, and chassis, `sizes`; a proprietary size says nothing: common "
    "practice, no source",
    says={
        "size": Wording(
            "{board} is of size {size} and {chassis} has stand-offs for {sizes}",
            words={"sizes": lambda sizes: ", ".join(sizes) or "none"},
        )
    },
    looks={
        "stand-offs": Look(
            "{machine}: stand-offs for {board}",
            "{chassis} has stand-offs for {board}",
            "compare the holes in the board with the chassis' manual; every stand-off that no hole "
            "meets comes out, or it may short the board",
        )
    },
    gaps=(
        Gap(
            "board",
            "size",
            lambda board: board.size is None,
            "the board's outline is not said, so whether a chassis has stand-offs for it is in "
            "doubt",
            "the first page of specifications in the manual; `proprietary` if it is none of the "
            "others",
            changes=("place", "compare"),
        ),
        Gap(
            "chassis",
            "sizes",
            lambda case: case.sizes is None,
            "which boards it has stand-offs for is not said",
            "its manual",
            changes=("place", "compare"),
        ),
    ),
    judge=judge,
    machine=refused,
)
