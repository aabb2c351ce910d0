"""
A finished plan written by hand, with one of each thing that a drawing can show.

Invented from end to end. `Dirt` is put behind every name and every text, to see that neither ever
becomes markup.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

from slotfit.answers.place.answer import (
    SCHEMA_VERSION,
    Division,
    LeftOutPart,
    LeftOver,
    LinkRate,
    NetworkEnd,
    PartBody,
    PlaceAnswer,
    PlaceMore,
    PlacePlan,
    PlaceToDo,
    PlaceToWatch,
    PlaceVerdict,
    PlannedGroup,
    PlannedLink,
    PlannedMachine,
    PlannedReceptacle,
    PlannedRow,
    PlannedSeat,
    PlugsToConnect,
    PowerBudget,
    SettingToChoose,
    SharedLink,
    SpeedToHold,
    Step,
    TypicalFigure,
    UnprovenFact,
)
from slotfit.answers.place.layout import cables_of, layout_of


@dataclass(frozen=True)
class Dirt:
    """What is put behind every name (no slash: names are joined with it) and every text."""

    name: str = ""
    text: str = ""


CLEAN = Dirt()
HOSTILE = Dirt(
    name="<b>\"'&{{7*7}}\\N]]>",
    text="</script></style></svg><img src=x onerror=alert(1)>]]>&amp;\"'\\l\x00\x1b\u202e--><!--",
)


class Hand:
    """Makes the pieces; `n` and `t` put the dirt behind names and texts."""

    def __init__(self, dirt: Dirt) -> None:
        self.dirt = dirt

    def n(self, name: str) -> str:
        return name + self.dirt.name

    def t(self, text: str) -> str:
        return text + self.dirt.text

    def receptacle_name(self, receptacle: str) -> str:
        return "/".join(self.n(part) for part in receptacle.split("/"))

    def receptacle(self, receptacle: str, form: str = "cem", **more: Any) -> PlannedReceptacle:
        owner, _, own = receptacle.rpartition("/")
        part = more.pop("item", None)
        given: dict[str, Any] = {
            "width": 16 if form == "cem" else None,
            "open_end": False,
            "row": None,
            "position": 0,
            "group": None,
            "from_": "cpu0",
            "processor": "cpu0",
            "generation": 4,
            "wired": 16 if form == "cem" else 4,
            "segments": ((0, 16, "pcie"),) if form == "cem" else ((0, 4, "pcie"),),
            "lanes_known": True,
            "gets": "gen 4 x16" if form == "cem" else "gen 4 x4",
            "state": "taken" if part else "free",
            "why": "",
            "power_w": 75,
            "length_mm": None,
        } | more
        for field in ("row", "group", "from_", "processor"):
            if given[field] is not None:
                given[field] = self.n(given[field])
        if given["why"]:
            given["why"] = self.t(given["why"])
        return PlannedReceptacle(
            site=self.receptacle_name(receptacle),
            id=self.n(own),
            label=self.t(own.upper()),
            machine=self.n("box"),
            owner=self.n(owner or "box"),
            on_board=not owner,
            form=form,
            form_title={"cem": "card edge slot", "m2-m": "M.2 socket, key M"}.get(form, form),
            item=self.n(part) if part else None,
            **given,
        )

    def seat(self, part: str, receptacle: str, *links: PlannedLink, **more: Any) -> PlannedSeat:
        owner, _, own = receptacle.rpartition("/")
        body = more.pop("body", {})
        given: dict[str, Any] = {
            "part_class": "network-card",
            "depth": receptacle.count("/"),
            "processor": "cpu0" if links else None,
            "hub": None,
            "group": None,
            "setting": None,
            "shared_short_mb_s": 0,
            "slot_w": 10,
            "aux_w": None,
            "positions": (),
            "today": None,
            "facts": (),
            "near": None,
            "far": False,
        } | more
        return PlannedSeat(
            item=self.n(part),
            part=self.n(f"part-{part}"),
            name=self.t(f"The {part}"),
            site=self.receptacle_name(receptacle),
            label=self.t(own.upper()),
            machine=self.n("box"),
            owner=self.n(owner or "box"),
            links=links,
            wanted_stated=True,
            wanted_in_mb_s=0,
            wanted_out_mb_s=0,
            short_mb_s=0,
            body=self.body(**body),
            **given,
        )

    def body(self, **more: Any) -> PartBody:
        given: dict[str, Any] = {
            "plug": "cem",
            "plug_width": 8,
            "thickness": 1,
            "length_mm": 167.65,
            "height_mm": 111.15,
            "bracket": "full",
            "cooling": "none",
            "reach_mm": None,
            "companion_of": None,
        } | more
        if given["companion_of"]:
            given["companion_of"] = self.n(given["companion_of"])
        return PartBody(**given)


def link(lanes: int, able: int | None = None, **more: Any) -> PlannedLink:
    """A PCIe link of generation 4."""
    able = lanes if able is None else able
    now, could = more.pop("generation", 4 if lanes else None), more.pop("able_generation", 4)
    given: dict[str, Any] = {
        "at": 0,
        "bus": "pcie",
        "mb_s": 1773 * lanes,
        "text": f"gen 4 x{lanes}" if lanes else "not detected",
        "able_text": f"gen 4 x{able}",
        "to": (),
        "why": "" if lanes == able else f"x{able} link on {lanes} lanes",
    } | more
    return PlannedLink(trains=LinkRate(lanes, now), able=LinkRate(able, could), **given)


M2: dict[str, Any] = {"plug": "m2-m", "plug_width": None, "thickness": None, "length_mm": 80.0}
CABLE: dict[str, Any] = {"plug": "sff-8643", "plug_width": None, "thickness": None}
SPLIT = ((0, 4, "pcie"), (4, 4, "pcie"), (8, 4, "pcie"))


def receptacles(hand: Hand) -> tuple[PlannedReceptacle, ...]:
    """One in each state."""
    make = hand.receptacle
    row = {"row": "rear"}
    return (
        make("slot1", item="carrier", **row, group="pe1", segments=SPLIT, gets="gen 4 x4+x4+x4"),
        make("slot2", item="nic", **row, position=1, group="pe2", width=8, wired=4, open_end=True,
             segments=((0, 4, "pcie"),), gets="gen 4 x4"),
        make("slot3", item="accel", **row, position=2, group="pe3", segments=((0, 8, "pcie"),),
             gets="gen 4 x8"),
        make("slot4", **row, position=3, group="pe3", segments=(), gets="no lanes",
             state="covered", why="accel covers it"),
        make("slot5", item="expander", **row, position=4, group="fixed", width=4, wired=4,
             from_="hub", segments=((0, 4, "pcie"),), gets="gen 4 x4"),
        make("slot6", **row, position=5, processor="cpu1", from_="cpu1", segments=(),
             gets="no lanes", state="unpowered", why="cpu1 is not fitted"),
        make("slot7", **row, position=6, width=1, wired=1, segments=((0, 1, "pcie"),),
             gets="gen 4 x1", lanes_known=False),
        make("m2_1", "m2-m", from_="hub"),
        make("m2_2", "m2-m", segments=(), gets="no lanes", state="no lanes",
             why="pe1 gives elsewhere"),
        make("m2_3", "m2-m", state="blocked", why="accel is in its way"),
        make("hdr", "sff-8643", item="lead", segments=((0, 4, "sas"),), gets="SAS-3 x4"),
        make("carrier/m2a", "m2-m", item="disk-1"),
        make("carrier/m2b", "m2-m", item="disk-2"),
        make("carrier/m2c", "m2-m"),
        make("carrier/m2d", "m2-m", segments=(), gets="no lanes", state="no lanes",
             why="nothing arrives at lane 12"),
        make("lead/end0", "sff-8643", item="expander:up"),
        make("expander/down0", "sff-8643"),
        make("expander/down1", "sff-8643"),
        make("expander/down2", "sff-8643"),
    )  # fmt: skip


def seats(hand: Hand) -> tuple[PlannedSeat, ...]:
    """One in each state of health."""
    make = hand.seat
    sas = link(4, bus="sas", generation=3, able_generation=3, text="SAS-3 x4", able_text="SAS-3 x4")
    sockets = [link(4, at=4 * n, to=(hand.n(f"m2{'abcd'[n]}"),)) for n in range(3)]
    lost = link(0, 4, at=12, to=(hand.n("m2d"),), why=hand.t("nothing arrives at lane 12"))
    return (
        make("carrier", "slot1", *sockets, lost, part_class="carrier", positions=(0,),
             setting=hand.t("PE1: x4x4x4"), body={"plug_width": 16, "length_mm": 241.3}),
        make("disk-1", "carrier/m2a", link(4), part_class="drive", body=M2),
        make("disk-2", "carrier/m2b", link(2, 4), part_class="drive", body=M2),
        make("nic", "slot2", link(4, 8), positions=(1,), facts=(hand.n("f1"),),
             near=hand.n("cpu1"), far=True, today=hand.receptacle_name("old/slot2"),
             body={"bracket": "both", "cooling": "passive"}),
        make("accel", "slot3", link(8), part_class="accelerator", positions=(2, 3), aux_w=250,
             today=hand.receptacle_name("slot3"),
             body={"plug_width": 16, "thickness": 2, "length_mm": 267.0}),
        make("expander", "slot5", part_class="sas-expander", positions=(4,),
             body={"plug_width": 4, "length_mm": None}),
        make("lead", "hdr", sas, part_class="cable", body={**CABLE, "reach_mm": 800.0}),
        make("expander:up", "lead/end0", sas, part_class="other",
             body={**CABLE, "companion_of": "expander"}),
    )  # fmt: skip


def settings(hand: Hand) -> tuple[SettingToChoose, ...]:
    """One to set, one that stays, one that presence decides, a jumper nobody knows of."""
    rows: tuple[tuple[str, str, str, Step, str, tuple[tuple[str, str], ...], str | None], ...] = (
        ("pe1", "PE1: x4x4x4", "setting", "set", "PE1: x16", (("slot1", "x4+x4+x4"),), "menu-only"),
        ("pe2", "PE2: x4", "setting", "stays", "PE2: x4", (("slot2", "x4"),), "documented"),
        ("pe3", "slot3 x8", "presence", "", "", (("slot3", "x8"),), "documented"),
        ("jp", "J1: 2-3", "jumper", "must be", "", (("m2_1", "x4"),), None),
    )
    return tuple(
        SettingToChoose(
            hand.n("box"), hand.n(group),
            Division(
                hand.t(text), None, how, step, hand.t(now) if now else None,
                tuple((hand.n(name), given) for name, given in gives), proof,
            ),
        )
        for group, text, how, step, now, gives, proof in rows
    )  # fmt: skip


def groups(hand: Hand) -> tuple[PlannedGroup, ...]:
    """As the settings say, and one without a choice."""
    box = hand.n("box")
    chosen = [
        PlannedGroup(
            box, s.lane_group, hand.n("cpu0"), hand.n("cpu0"), True, 4, "pcie", True, s.division
        )
        for s in settings(hand)
    ]
    fixed = Division("slot5 x4", None, "fixed", "", None, ((hand.n("slot5"), "x4"),), "documented")
    plain = PlannedGroup(
        box, hand.n("fixed"), hand.n("hub"), hand.n("cpu0"), True, 3, "pcie", False, fixed
    )
    return (*chosen, plain)


def machine(hand: Hand) -> PlannedMachine:
    """Two processors, one fitted; a hub."""
    return PlannedMachine(
        id=hand.n("box"),
        name=hand.t("box"),
        board=hand.n("board"),
        board_name=hand.t("Board"),
        invented=True,
        processors=(
            (hand.n("cpu0"), hand.t("CPU A"), True),
            (hand.n("cpu1"), hand.t("CPU B"), False),
        ),
        hubs=((hand.n("hub"), hand.n("cpu0"), "gen 3 x4"),),
        chassis=hand.t("Case"),
        air_lfm=200.0,
    )


def hand_answer(dirt: Dirt = CLEAN) -> PlaceAnswer:
    """The whole answer."""
    hand = Hand(dirt)
    box = hand.n("box")
    plan = PlacePlan(
        machines=(machine(hand),),
        seats=seats(hand),
        rows=(PlannedRow(box, hand.n("rear"), 7, 6, 300.0),),
        receptacles=receptacles(hand),
        groups=groups(hand),
    )
    return PlaceAnswer(
        schema_version=SCHEMA_VERSION,
        build=hand.n("hand"),
        title=hand.t("Made by hand"),
        verdict=PlaceVerdict("yes", "proven", hand.t("Everything required is placed"), 0.1),
        plan=plan,
        do=PlaceToDo(
            settings=settings(hand),
            speeds=(
                SpeedToHold(
                    box, hand.n("slot2"), hand.t("SLOT2"), hand.t("Slot 2 link speed"), 3,
                    (hand.n("nic"),),
                ),
            ),
            cables=tuple(cables_of(layout_of(plan))),
            plugs=(PlugsToConnect(hand.n("accel"), ("pcie-8", "pcie-8")),),
            network=(NetworkEnd(hand.n("nic"), hand.n("p1"), hand.n("desk"), hand.n("sfp"), 40),),
            cautions=(hand.t("Pull the power cord."), hand.t("Mind static.")),
        ),
        watch=PlaceToWatch(
            rests_on=(
                UnprovenFact(
                    hand.n("f1"), hand.t("slot2 has four lanes"), hand.t("look into the manual"),
                    "board.yaml:1:1", (hand.n("nic"),),
                ),
            ),
            shared=(SharedLink(hand.n("hub"), box, 2912, 3000, 100, 88),),
            typical=(
                TypicalFigure(
                    (hand.n("nic"),), "slot_w", 14, "W", (f"{hand.n('slot2')}: power_w 15 W",)
                ),
            ),
            notes=(hand.t("nic warms accel"),),
        ),
        more=PlaceMore(
            left_out=(
                LeftOutPart(hand.n("spare"), hand.n("part-spare"), hand.t("no room"), False),
            ),
            left_over=tuple(LeftOver(p.site, p.gets) for p in plan.receptacles if not p.item),
            power=(
                PowerBudget(
                    box, 800.0, 640.0, None, 380.0, (hand.n("nic"),), (("pcie-8", 2, 2),)
                ),
            ),
        ),
    )  # fmt: skip


def with_plan(answer: PlaceAnswer, **changes: Any) -> PlaceAnswer:
    """The same with another plan."""
    return replace(answer, plan=replace(answer.plan, **changes))


def empty_answer() -> PlaceAnswer:
    """The same machine without a plan."""
    answer = hand_answer()
    own = (place for place in answer.plan.receptacles if place.on_board)
    free = tuple(replace(place, item=None, state="free") for place in own)
    return replace(
        with_plan(answer, seats=(), receptacles=free),
        do=PlaceToDo(cautions=answer.do.cautions),
        watch=PlaceToWatch(),
        more=PlaceMore(power=answer.more.power),
    )
