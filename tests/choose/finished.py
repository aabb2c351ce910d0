"""A finished comparison and a finished headroom, written by hand: no solver has a say in them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from slotfit.answers.answer_word import answered
from slotfit.answers.compare import answer as compare
from slotfit.answers.compare.answer import (
    BoardPlan,
    BoardTried,
    CompareAnswer,
    CompareDo,
    CompareMore,
    ComparePlan,
    CompareVerdict,
    CompareWatch,
    Difference,
    RankedBoard,
)
from slotfit.answers.compare.verdict import notes
from slotfit.answers.headroom.answer import (
    SCHEMA_VERSION,
    AdditionRoom,
    HeadroomAnswer,
    HeadroomDo,
    HeadroomMore,
    HeadroomPlan,
    HeadroomVerdict,
    HeadroomWatch,
    NewSeat,
)
from slotfit.answers.headroom.headroom import NOTE
from slotfit.answers.place.additions import FuturesTaken
from slotfit.answers.place.answer import PlaceAnswer
from slotfit.answers.place.causes import Contribution, FreeGroup
from slotfit.answers.place.left_out import MissingPart
from slotfit.model.plan import StageValue
from tests.render.hand_answer import CLEAN, Dirt, Hand, hand_answer, with_plan

FULL = RankedBoard(
    rank=1,
    verdict="best; second loses on what has to fit: 1 required part without a place against none",
    brief="best",
    deciding=Difference("second", "required-parts", 0, 1, False, (), (), True),
    dominated_by=None,
    tried=BoardTried(
        name="first",
        board="first",
        invented=True,
        fitted=1,
        sockets=2,
        price=310.5,
        notes=("first has no fitted processor like cpu1: cpu0 stands for it",),
        seconds=0.1,
        plan=BoardPlan(
            proven=True,
            placed=7,
            stages=(
                StageValue("dark-endpoints", 0, 0, "endpoints"),
                StageValue("bandwidth", 88, 88, "MB/s short"),
                StageValue("locality", 1, 1, "parts"),
            ),
            missing=(),
            contributions=(
                Contribution("bandwidth", "box/hub upwards", 88, "hub's shared link 0.1"),
                Contribution("locality", "nic", 1, "nic on cpu0, not cpu1"),
            ),
            free=(
                FreeGroup("cem x16", "gen 4 x16", 32, ("SLOT8", "SLOT9")),
                FreeGroup("m2-m", "gen 4 x4", 4, ("M2_1",)),
            ),
            lanes_left=36,
            power_left_w=260.0,
            draw_unknown=("nic",),
            futures=FuturesTaken(("one-card",), ("two-cards",), (), 0.75),
            answer=hand_answer(),
        ),
    ),
)


def less(answer: PlaceAnswer) -> PlaceAnswer:
    """The same plan without the network card, slower for a drive."""
    nic = next(seat.item for seat in answer.plan.seats if seat.item.startswith("nic"))
    seats = [seat for seat in answer.plan.seats if seat.item != nic]
    slow = replace(seats[1], short_mb_s=1200, wanted_in_mb_s=3200, wanted_out_mb_s=3200)
    return with_plan(
        answer,
        seats=(seats[0], slow, *seats[2:]),
        receptacles=tuple(
            replace(one, item=None, state="free") if one.item == nic else one
            for one in answer.plan.receptacles
        ),
    )


SHORT = RankedBoard(
    rank=2,
    verdict="does not take everything: no place for nic (slot1 is taken); time ran out: it may be "
    "better than this",
    brief="no place for nic",
    deciding=Difference("first", "required-parts", 1, 0, False, (), (), False),
    dominated_by="first",
    tried=BoardTried(
        name="second",
        board="second",
        fitted=2,
        sockets=2,
        seconds=0.1,
        impossible=True,
        plan=BoardPlan(
            proven=False,
            placed=6,
            stages=(
                StageValue("dark-endpoints", 1, 0, "endpoints"),
                StageValue("bandwidth", 1200, 0, "MB/s short"),
                StageValue("locality", 0, 0, "parts"),
            ),
            missing=(MissingPart("nic", "FIT003", "", "slot1 is taken"),),
            contributions=(
                Contribution("dark-endpoints", "carrier", 1, "1 of carrier"),
                Contribution("bandwidth", "disk-1", 1200, "disk-1 1.2"),
            ),
            free=(),
            lanes_left=0,
            power_left_w=None,
            draw_unknown=(),
            futures=None,
            answer=less(hand_answer()),
        ),
    ),
)

BROKEN = RankedBoard(
    rank=0,
    verdict="could not be tried: third.yaml:3:1: processors: expected at least 1",
    brief="no place for nic",
    deciding=None,
    dominated_by=None,
    tried=BoardTried(
        "third.yaml", "third.yaml", mistake="third.yaml:3:1: processors: expected at least 1"
    ),
)


def with_answer(board: RankedBoard, answer: PlaceAnswer) -> RankedBoard:
    """The board with another plan of its parts."""
    assert board.tried.plan
    plan = replace(board.tried.plan, answer=answer)
    return replace(board, tried=replace(board.tried, plan=plan))


def named(board: RankedBoard, name: str) -> RankedBoard:
    """The board by another name."""
    return replace(board, tried=replace(board.tried, name=name))


def with_boards(boards: Sequence[RankedBoard]) -> CompareAnswer:
    """The comparison of other boards."""
    made = comparison()
    return replace(made, plan=replace(made.plan, boards=tuple(boards)))


PARTS = ("carrier", "disk-1", "disk-2", "nic", "accel", "expander", "expander:up", "lead")


def comparison(dirt: Dirt = CLEAN) -> CompareAnswer:
    """Three boards: one takes all, one does not, one could not be read."""
    hand = Hand(dirt)
    answer = hand_answer(dirt)
    boards = (with_answer(FULL, answer), with_answer(SHORT, less(answer)), BROKEN)
    not_asked = hand.t("`only` of disk-1 names slot1 of this build's board: not asked of any")
    return CompareAnswer(
        schema_version=compare.SCHEMA_VERSION,
        build="hand",
        title=hand.t("Made by hand"),
        machine="box",
        verdict=CompareVerdict("yes", "fits", answered("yes", f"first: {FULL.verdict}")),
        plan=ComparePlan(
            parts=tuple((hand.n(part), hand.t(f"The {part}")) for part in PARTS),
            count=7,
            boards=tuple(
                replace(named(board, hand.n(board.tried.name)), verdict=hand.t(board.verdict))
                for board in boards
            ),
        ),
        do=CompareDo(("first",), ("third.yaml",), ()),
        watch=CompareWatch((not_asked,), tuple(notes([board.tried for board in boards]))),
        more=CompareMore(("dark-endpoints", "bandwidth", "locality")),
    )


def room(name: str, asked: int, fits: int, why: str = "") -> AdditionRoom:
    """An addition of which nothing more is to be said."""
    return AdditionRoom(name, asked, fits, counted=True, why_no_more=why)


def headroom() -> HeadroomAnswer:
    """Additions that end in every way."""
    seats = tuple(
        NewSeat(
            *(f"new-disk-{n}", "disk", f"slot{n}", f"SLOT{n}", "gen 3 x4", "cpu0 via hub"),
            inside=n > 7,
        )
        for n in range(1, 11)
    )
    return HeadroomAnswer(
        schema_version=SCHEMA_VERSION,
        build="hand",
        title="Made by hand",
        verdict=HeadroomVerdict("yes", "proven", "Yes: every required part fits"),
        plan=HeadroomPlan(
            (
                replace(room("x1 card", 8, 8), seats=seats[:1]),
                replace(
                    room(
                        "drive",
                        24,
                        10,
                        "no suitable slot is free (10 checked)",
                    ),
                    seats=seats,
                    drives=10,
                ),
                replace(
                    room("x16 card", 1, 1),
                    moves=(("nic", "slot1", "slot2"), ("hba", "slot3", "slot4")),
                    fewest_moves=False,
                    settings=("Slot 1: x16 (now Slot 1: x8x8)",),
                    worse=("hub's shared link: 0.4 GB/s short beyond what it is now",),
                    facts=("slot1 is wired so",),
                ),
                replace(room("x8 card", 8, 2), counted=False),
                room("U.2 drive", 24, 0, "no receptacle takes a plug of form u2"),
                replace(room("x4 card", 8, 0), counted=False),
            )
        ),
        do=HeadroomDo(("carrier, full of drives",)),
        watch=HeadroomWatch((NOTE,)),
        more=HeadroomMore(FuturesTaken(("a",), ("b",), ("c",), 0.5)),
    )
