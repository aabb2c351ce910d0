"""What is in use by something unknown is closed; what a better witness calls empty is doubted."""

from __future__ import annotations

import random
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
import yaml

from slotfit.answers.catalog.lint import report_on
from slotfit.answers.check.asked import check
from slotfit.answers.compare.boards import Candidate, on_board
from slotfit.answers.headroom.headroom import AdditionsWanted, headroom
from slotfit.answers.place.of_plan import place
from slotfit.answers.place.plan import best_plan
from slotfit.api import read
from slotfit.load.build_file import load
from slotfit.load.catalog import standard_catalog
from slotfit.model.board import Board
from slotfit.read import smbios
from slotfit.read.dmidecode_text import parse as parse_text
from slotfit.read.join import join
from slotfit.read.machine import MachineSeen
from tests.describe.loading import described, loaded, refused_today
from tests.limits import SECONDS
from tests.read.machines import port
from tests.read.outside import real_captures
from tests.read.registers import Function
from tests.read.scenes import HOST, at, machine
from tests.read.tables import Slot, dump

AVAILABLE, IN_USE = 3, 4
"""DSP0134 7.10.3."""
CARD = {"id": "added", "part": "nic-10g-1p"}


def table(*usages: int) -> list[bytes]:
    """Slots of sixteen lanes, SLOT1 and so on, of which a table says that."""
    return [
        Slot(f"SLOT{number}", usage=usage, slot_id=number, **at("00:00.0")).pack(number)
        for number, usage in enumerate(usages, start=1)
    ]


def with_card(seen: MachineSeen, folder: Path) -> Path:
    """The build that is read, with one card added."""
    loaded(described(seen), folder)
    build = folder / "build.yaml"
    said = yaml.safe_load(build.read_text("utf-8"))
    said["parts"].append(CARD)
    build.write_text(yaml.safe_dump(said, sort_keys=False), "utf-8")
    return build


def site_of(build: Path) -> str | None:
    """Where the plan puts the card; None where there is no plan."""
    plan = best_plan(load(build), SECONDS).plan
    return next(seat.receptacle for seat in plan.seats if seat.part == "added") if plan else None


def parts_of(folder: Path) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = yaml.safe_load((folder / "build.yaml").read_text("utf-8"))[
        "parts"
    ]
    return found


def test_a_slot_in_use_by_something_unknown_is_closed(tmp_path: Path) -> None:
    build = with_card(machine([], *table(IN_USE, AVAILABLE, IN_USE)), tmp_path / "made")
    assert parts_of(tmp_path / "made")[:2] == [
        {"id": "unknown-1", "part": "unknown", "pin": "slot1"},
        {"id": "unknown-2", "part": "unknown", "pin": "slot3"},
    ]
    answer = place(load(build), SECONDS)
    seats = {seat.item: seat for seat in answer.plan.seats}
    assert seats["added"].site == "slot2"
    assert all(seats[name].facts for name in ("unknown-1", "unknown-2"))
    assert answer.verdict.word == "yes, if"
    catalog = standard_catalog()
    checked = check("hba-8i-sas3", str(build), catalog).plan.receptacles
    status = {one.receptacle: one.status for one in checked}
    assert (status["slot1"], status["slot3"]) == ("does not work", "does not work")
    assert status["slot2"] != "does not work"
    room = headroom(load(build), catalog, AdditionsWanted(["nic-10g-1p"]), SECONDS)
    assert [one.fits for one in room.plan.rooms] == [0]
    assert any("slot1 and slot3" in note for note in room.watch.notes)
    gaps = {one.path for one in report_on(build, catalog).remarks if one.rule == "FIT026"}
    assert gaps == {"unknown-1: part", "unknown-2: part"}


def test_the_read_report_says_what_is_unknown(tmp_path: Path) -> None:
    source = tmp_path / "DMI"
    source.write_bytes(dump(*table(IN_USE, AVAILABLE, AVAILABLE)))
    answer = read([source], tmp_path / "made")
    held = {one.id: one.holds for one in answer.plan.receptacles}
    assert held == {"slot1": "unknown-1", "slot2": "", "slot3": ""}
    gaps = [one for one in answer.do.find_out if "unknown-1" in one.of]
    assert [(one.field, one.of) for one in gaps] == [("part", ("unknown-1",))]
    weights = [len(one.changes) for one in answer.do.find_out]
    assert weights == sorted(weights, reverse=True)
    board = standard_catalog()
    lint = report_on(tmp_path / "made" / "board.yaml", board).remarks
    assert {one.text for one in lint if one.sort == "unknown"} <= {
        one.then for one in answer.do.find_out
    }  # the very words of lint


DOWN: dict[str, Any] = {"active": False, "lanes_now": 0}
PORTS: dict[str, tuple[dict[str, Any], str]] = {
    "its presence bit is clear": ({"present": False, **DOWN}, "free"),
    "its link is down": ({"slot": False, **DOWN}, "free"),
    "its presence bit is set": ({"present": True, **DOWN}, "closed"),
}


@pytest.mark.parametrize(("said", "becomes"), PORTS.values(), ids=PORTS)
def test_the_port_that_owns_a_slot_is_believed_before_the_table(
    said: dict[str, Any], becomes: str, tmp_path: Path
) -> None:
    """PCI Express Base 7.5.3.8 and 7.5.3.11: link active, and presence detect state."""
    slots = [
        Slot("SLOT1", usage=IN_USE, slot_id=1, **at("00:01.0")).pack(1),
        Slot("SLOT2", usage=AVAILABLE, slot_id=2, **at("00:02.0")).pack(2),
    ]
    bus = [
        Function(address="00:00.0", class_code=HOST, buses=None, port_type=4, slot=False),
        port("00:01.0", 1, **said),
        port("00:02.0", 2, present=False, **DOWN),
    ]
    seen = machine(bus, *slots)
    build = with_card(seen, tmp_path / "made")
    machines = yaml.safe_load(build.read_text("utf-8"))["machines"]
    doubted = machines[0].get("perhaps_in_use", [])
    closed = [one["pin"] for one in parts_of(tmp_path / "made") if one["part"] == "unknown"]
    assert (doubted, closed) == ((["slot1"], []) if becomes == "free" else ([], ["slot1"]))
    assert site_of(build) == "slot2"  # never the doubted one where another does as well
    doubts = [one for one in seen.disagreements if one.fact == "part present"]
    witnesses = [{one.chosen.where.file, one.others[0].where.file} for one in doubts]
    assert witnesses == ([{"bus", "table"}] if becomes == "free" else [])


def test_a_table_that_says_in_use_of_every_slot_proves_nothing(tmp_path: Path) -> None:
    build = with_card(machine([], *table(IN_USE, IN_USE, IN_USE)), tmp_path / "made")
    answer = place(load(build), SECONDS)
    (seat,) = answer.plan.seats
    assert [one.rule for one in report_on(build, standard_catalog()).remarks].count("FIT027") == 1
    facts = {one.fact: one.statement for one in answer.watch.rests_on}
    assert any(
        f"nothing is in {seat.site}, though a table calls it in use" == facts[fact]
        for fact in seat.facts
    )


@pytest.mark.parametrize("seed", range(3, 9))
def test_no_plan_uses_what_a_table_calls_in_use(seed: int, tmp_path: Path) -> None:
    draw = random.Random(seed)
    usages = [draw.choice((AVAILABLE, IN_USE, IN_USE, 2)) for _ in range(draw.randint(1, 6))]
    build = with_card(machine([], *table(*usages)), tmp_path / "made")
    assert refused_today(load(build)) == {}
    site = site_of(build)
    if len(usages) > 2 and set(usages) == {IN_USE}:
        return  # said of every slot: see above
    assert site is None or usages[int(site.removeprefix("slot")) - 1] != IN_USE
    assert site is not None or AVAILABLE not in usages


@pytest.mark.long
def test_no_plan_over_the_collection_uses_an_occupied_slot(tmp_path: Path) -> None:
    """Each table read, one card added; what it calls in use is asked of the table alone."""
    free = planned = 0
    for path in real_captures("dmidecode"):
        seen = join([parse_text(path.read_text("utf-8", "replace"), path.name)])
        build = with_card(seen, tmp_path / path.stem)
        site = site_of(build)
        made = {slot.id: slot for slot in described(seen).slots}
        usages = [record.usage for one in seen.receptacles for record in one.records]
        if site is not None and not (len(usages) > 2 and set(usages) == {"in use"}):
            assert "in use" not in [record.usage for record in made[site].seen.records], path.name
        if any(
            slot.form.value == "cem" and "available" in [one.usage for one in slot.seen.records]
            for slot in made.values()
        ):
            free += 1
            planned += site is not None
    assert planned >= 0.95 * free


def test_what_is_unknown_needs_a_place(tmp_path: Path) -> None:
    seen = join([smbios.parse(dump(*table(IN_USE, AVAILABLE)), "table")])
    loaded(described(seen), tmp_path / "made")
    build = tmp_path / "made" / "build.yaml"
    text = build.read_text("utf-8")
    build.write_text(text.replace("    pin: slot1\n", ""), "utf-8")
    with pytest.raises(Exception, match="an unknown part needs `pin`"):
        load(build)


def test_on_its_own_board_something_unknown_stays_when_boards_are_compared(tmp_path: Path) -> None:
    """Nobody can move what nobody has named; another board has no such slot, and another doubt."""
    problem = load(
        with_card(machine([], *table(IN_USE, AVAILABLE, IN_USE, AVAILABLE)), tmp_path / "made")
    )
    (one,) = problem.machines
    dropped = [receptacle.id for receptacle in problem.receptacles]
    own, _ = on_board(problem, one.id, Candidate("own", one.board), dropped)
    assert {part.id: part.wish.pin for part in own.parts if part.wish.is_unknown} == {
        "unknown-1": "slot1", "unknown-2": "slot3",
    }  # fmt: skip
    doubted = replace(one, entry=one.entry.model_copy(update={"perhaps_in_use": ("slot2",)}))
    other = standard_catalog().load("desktop-steered", Board)
    assert doubted.entry_on(other).perhaps_in_use == ()
