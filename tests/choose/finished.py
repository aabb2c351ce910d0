"""A finished comparison and a finished headroom, written by hand: no solver has a say in them."""

from __future__ import annotations

from dataclasses import replace

from slotfit.answers.compare.answer import (
    BoardView,
    CauseView,
    Comparison,
    DecidingView,
    LeftView,
    MissingView,
    OutlookView,
    PreferenceView,
)
from slotfit.answers.headroom.answer import HeadroomView, MoveView, NewSeatView, RoomView
from slotfit.answers.place.answer import SCHEMA_VERSION, PlaceAnswer
from tests.render.hand_answer import CLEAN, Dirt, Hand, hand_answer, with_plan

FULL = BoardView(
    name="first",
    board="first",
    invented=True,
    fitted=1,
    sockets=2,
    place=1,
    complete=True,
    proven=True,
    verdict="best; second loses on what has to fit: 1 required part without a place against none",
    brief="best",
    deciding=DecidingView("second", "required-parts", 0, 1, False, (), (), True),
    dominated_by=None,
    placed=7,
    parts=7,
    preferences=(
        PreferenceView("dark-endpoints", 0, 0, "endpoints"),
        PreferenceView("bandwidth", 88, 88, "MB/s short"),
        PreferenceView("locality", 1, 1, "parts"),
    ),
    causes=(
        CauseView("bandwidth", "box/hub upwards", 88, "hub's shared link 0.1"),
        CauseView("locality", "nic", 1, "nic on cpu0, not cpu1"),
    ),
    missing=(),
    left=(
        LeftView("cem x16", "16 GT/s x16", 32, ("SLOT8", "SLOT9")),
        LeftView("m2-m", "16 GT/s x4", 4, ("M2_1",)),
    ),
    lanes_left=36,
    power_left_w=260.0,
    draw_unknown=("nic",),
    price=310.5,
    notes=("first has no fitted processor like cpu1: cpu0 stands for it",),
    outlook=OutlookView(("one-card",), ("two-cards",), (), 0.75),
    seconds=0.1,
    mistake="",
    view=hand_answer(),
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


SHORT = replace(
    FULL,
    name="second",
    board="second",
    invented=False,
    fitted=2,
    place=2,
    complete=False,
    proven=False,
    verdict="does not take everything: no place for nic (slot1 is taken); time ran out: it may be "
    "better than this",
    brief="no place for nic",
    deciding=DecidingView("first", "required-parts", 1, 0, False, (), (), False),
    dominated_by="first",
    placed=6,
    preferences=(
        PreferenceView("dark-endpoints", 1, 0, "endpoints"),
        PreferenceView("bandwidth", 1200, 0, "MB/s short"),
        PreferenceView("locality", 0, 0, "parts"),
    ),
    causes=(
        CauseView("dark-endpoints", "carrier", 1, "1 of carrier"),
        CauseView("bandwidth", "disk-1", 1200, "disk-1 1.2"),
    ),
    missing=(MissingView("nic", "FIT003", "slot1 is taken"),),
    left=(),
    lanes_left=0,
    power_left_w=None,
    draw_unknown=(),
    price=None,
    notes=(),
    outlook=None,
    view=less(hand_answer()),
)

BROKEN = replace(
    SHORT,
    name="third.yaml",
    board="third.yaml",
    fitted=0,
    sockets=0,
    place=0,
    verdict="could not be tried: third.yaml:3:1: processors: expected at least 1",
    deciding=None,
    dominated_by=None,
    placed=0,
    preferences=(),
    causes=(),
    missing=(),
    mistake="third.yaml:3:1: processors: expected at least 1",
    view=None,
)

ITEMS = ("carrier", "disk-1", "disk-2", "nic", "accel", "expander", "expander:up", "lead")


def comparison(dirt: Dirt = CLEAN) -> Comparison:
    """Three boards: one takes all, one does not, one could not be read."""
    hand = Hand(dirt)
    view = hand_answer(dirt)
    boards = (
        replace(FULL, view=view),
        replace(SHORT, view=less(view)),
        BROKEN,
    )
    return Comparison(
        schema_version=SCHEMA_VERSION,
        build="hand",
        title=hand.t("Made by hand"),
        machine="box",
        items=tuple((hand.n(item), hand.t(f"The {item}")) for item in ITEMS),
        notes=(hand.t("`only` of disk-1 names slot1 of this build's board: not asked of any"),),
        stopped=False,
        boards=tuple(
            replace(board, name=hand.n(board.name), verdict=hand.t(board.verdict))
            for board in boards
        ),
    )


def room(name: str, asked: int, fits: int, why: str = "") -> RoomView:
    """An addition of which nothing more is to be said."""
    return RoomView(
        name=name,
        asked=asked,
        fits=fits,
        counted=True,
        fewest_moves=True,
        seats=(),
        moves=(),
        settings=(),
        worse=(),
        facts=(),
        why_no_more=why,
        drives=0,
    )


def headroom() -> HeadroomView:
    """Additions that end in every way."""
    seats = tuple(
        NewSeatView(
            *(f"new-disk-{n}", "disk", f"slot{n}", f"SLOT{n}", "8 GT/s x4", "cpu0 via hub"),
            inside=n > 7,
        )
        for n in range(1, 11)
    )
    return HeadroomView(
        schema_version=SCHEMA_VERSION,
        build="hand",
        title="Made by hand",
        status="proven",
        headline="Everything required is placed, and no better plan exists",
        rooms=(
            replace(room("x1 card", 8, 8), seats=seats[:1]),
            replace(
                room("drive", 24, 10, "all 10 receptacles that it could have are taken or covered"),
                seats=seats,
                drives=10,
            ),
            replace(
                room("x16 card", 1, 1),
                moves=(MoveView("nic", "slot1", "slot2"), MoveView("hba", "slot3", "slot4")),
                fewest_moves=False,
                settings=("Slot 1: x16 (now Slot 1: x8x8)",),
                worse=("hub's shared link: 0.4 GB/s short beyond what it is now",),
                facts=("slot1 is wired so",),
            ),
            replace(room("x8 card", 8, 2), counted=False),
            room("U.2 drive", 24, 0, "no receptacle takes a plug of form u2"),
            replace(room("x4 card", 8, 0), counted=False),
        ),
        outlook=OutlookView(("a",), ("b",), ("c",), 0.5),
        untried=("carrier, full of drives",),
    )
