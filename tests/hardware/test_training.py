"""Which endpoint trains at what, from the table in tests/cases/training.yaml."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest
import yaml

from slotfit.engine.seats import seat_all
from slotfit.hardware.training import passed_on, why_dark
from slotfit.model.dark import dark
from slotfit.model.part import Link
from slotfit.model.seat import Seat, Segment, Trained, Upstream
from slotfit.rulebook import SEAT_RULES
from tests.rules.tables import problem_of

TABLE = yaml.safe_load(Path(__file__, "../../cases/training.yaml").resolve().read_text("utf-8"))
CASES: dict[str, dict[str, Any]] = TABLE["cases"]


@pytest.mark.parametrize("name", CASES)
def test_links_train_as_the_table_says(name: str) -> None:
    case = CASES[name]
    assert [shown(link) for link in links_of_the_last(case)] == case["trains"]


def test_every_case_names_its_source() -> None:
    assert [name for name, case in CASES.items() if case["source"] not in TABLE["sources"]] == []
    assert len(CASES) >= 40


def shown(link: Trained) -> str:
    """`x4@3`; `or less` where the standard leaves the width open."""
    if not link.lanes:
        assert link.dark, "a dark link has a reason"
        return "dark"
    return f"x{link.lanes}@{link.generation or '-'}" + ("" if link.certain else " or less")


def links_of_the_last(case: Mapping[str, Any]) -> tuple[Trained, ...]:
    """What the last part of the stack trains at; all seats that the case leaves open agree."""
    stack: dict[str, Any] = {
        name: dict(said) for name, said in case.get("stack", {"card": {}}).items()
    }
    receptacles = where_they_sit(stack, case.get("at", "slot1"))
    parts = {name: {k: v for k, v in said.items() if k != "in"} for name, said in stack.items()}
    seating = seat_all(problem_of({**case, "parts": parts}), SEAT_RULES)
    every = [*seating.seats, *(refusal.seat for refusal in seating.refusals)]
    below: set[str] = set()
    found: list[Seat] = []
    for name, receptacle in receptacles.items():
        found = [
            seat
            for seat in every
            if (seat.part, seat.receptacle) == (name, receptacle)
            and stands_on(seat, below, case.get("under"))
        ]
        assert found, f"{name} is not even tried in {receptacle}"
        below = {seat.key for seat in found}
    outcomes = {seat.links for seat in found}
    assert len(outcomes) == 1, "the case leaves open which arrangement is meant"
    return outcomes.pop()


def where_they_sit(stack: Mapping[str, Any], first: str) -> dict[str, str]:
    """Part -> receptacle: as its `in` says, or the first of the part before it."""
    receptacles: dict[str, str] = {}
    receptacle = first
    for name, said in stack.items():
        receptacles[name] = said.get("in", receptacle)
        receptacle = f"{name}/{first_receptacle(said)}"
    return receptacles


def first_receptacle(said: Mapping[str, Any]) -> str:
    usual = {"riser": "slot", "hba": "port0", "cable": "end0"}.get(said.get("like", ""), "m2a")
    receptacles = said.get("receptacles") or [{"id": usual}]
    return str(receptacles[0]["id"])


def stands_on(seat: Seat, below: set[str], under: str | None) -> bool:
    """Whether the seat is under the arrangement, or rests on what the part below sits in."""
    if seat.parents:
        return bool(below & set(seat.parents))
    return under is None or under in seat.arrangements


UPSTREAM = Upstream("tower", (Segment(0, 8), Segment(8, 4), Segment(12, 4)))


@pytest.mark.parametrize(
    ("link", "upstream", "why"),
    [
        (
            Link(at=4, lanes=4),
            UPSTREAM,
            (
                "lane 4 lies inside the x8 segment that starts at lane 0, and a link only starts "
                "at a segment's first lane"
            ),
        ),
        (
            Link(at=8, lanes=4),
            Upstream("tower", (Segment(0, 8),)),
            "only lanes 0 to 7 arrive here, and it starts at lane 8",
        ),
        (
            Link(at=4, lanes=4),
            Upstream("tower", (Segment(0, 1),)),
            "only lane 0 arrives here, and it starts at lane 4",
        ),
        (Link(lanes=1, bus="sata"), UPSTREAM, "PCIe arrives here, not SATA"),
        (
            Link(lanes=1, bus="sas"),
            Upstream("tower", (Segment(0, 4), Segment(0, 1, "sata"))),
            "PCIe and SATA arrive here, not SAS",
        ),
        (
            Link(lanes=4),
            Upstream("tower", dark=dark("absent", processor="cpu1")),
            "cpu1 is not fitted",
        ),
        (Link(lanes=4), Upstream("tower"), "no lanes arrive here"),
    ],
)
def test_a_dark_link_says_why(link: Link, upstream: Upstream, why: str) -> None:
    assert str(why_dark(link, upstream)) == why


@pytest.mark.parametrize(
    ("wire", "segments"),
    [
        (Link(at=0, lanes=16, to=("s",)), ((0, 8), (8, 4), (12, 4))),
        (Link(at=8, lanes=8, to=("s",)), ((0, 4), (4, 4))),
        (Link(at=0, lanes=4, to=("s",)), ((0, 4),)),
        (Link(at=4, lanes=8, to=("s",)), ((4, 4),)),
        (Link(at=4, lanes=4, to=("s",)), ()),
    ],
)
def test_wires_hand_on_what_begins_in_them(
    wire: Link, segments: tuple[tuple[int, int], ...]
) -> None:
    """x8x4x4 arrives; a segment that begins before the wire does is lost (no source: wiring)."""
    assert tuple((s.start, s.lanes) for s in passed_on(wire, UPSTREAM)) == segments
