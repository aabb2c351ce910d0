"""The slot row's measures against the card outline's, and its lanes against the view."""

from __future__ import annotations

from dataclasses import replace
from random import Random
from xml.etree import ElementTree as ET

import pytest

from slotfit.draw.row_measure import Stand, StandName
from slotfit.draw.row_panel import in_short_words, lane_states, runs_of
from slotfit.draw.slot_row import slot_row_svg
from slotfit.listing import in_short
from tests.render.hand_answer import CLEAN, Hand, hand_answer, link, with_plan

SVG = "{http://www.w3.org/2000/svg}"

# open drawing of card outlines and connectors, as quoted: 0.8 inch from slot to slot; housings of
# about 25, 39, 56 and 89 mm.
PITCH_MM = 20.32
HOUSING_MM = {"slot7": 25.0, "slot5": 39.0, "slot2": 56.0, "slot1": 89.0}


def groups(stand: StandName) -> dict[str, list[dict[str, float]]]:
    """Receptacle -> its rectangles with their place along the cards and across, in millimetres."""
    root = ET.fromstring(slot_row_svg(hand_answer(), stand))
    found: dict[str, list[dict[str, float]]] = {}
    for group in root.iter(f"{SVG}g"):
        boxes = []
        for box in group.iter(f"{SVG}rect"):
            x, y, wide, high = (float(box.get(k) or 0) for k in ("x", "y", "width", "height"))
            flat = stand == "flat"
            boxes.append(
                {
                    "along": -(y + high) if flat else x,
                    "across": x if flat else y,
                    "deep": high if flat else wide,
                    "wide": wide if flat else high,
                }
            )
        found[group.get("data-site") or ""] = boxes
    return found


@pytest.mark.parametrize("stand", ["flat", "tower"])
def test_slots_are_a_pitch_apart(stand: StandName) -> None:
    drawn = groups(stand)
    firsts = [drawn[f"slot{number}"][0]["across"] for number in range(1, 8)]
    for number, across in enumerate(firsts):
        assert across - firsts[0] == pytest.approx(number * PITCH_MM, abs=0.02)


@pytest.mark.parametrize("stand", ["flat", "tower"])
@pytest.mark.parametrize(("receptacle", "length_mm"), HOUSING_MM.items())
def test_connectors_have_their_length(stand: StandName, receptacle: str, length_mm: float) -> None:
    assert length_mm in [round(box["deep"], 2) for box in groups(stand)[receptacle]]


@pytest.mark.parametrize("stand", ["flat", "tower"])
def test_a_body_is_as_long_and_thick_as_its_card(stand: StandName) -> None:
    """267 mm from the rear edge and two pitches, less the air beside the next card (2.67 mm)."""
    bodies = [box for box in groups(stand)["slot3"] if box["deep"] > 200]
    body = max(bodies, key=lambda box: box["wide"])
    rear = 5.5  # the bracket stands behind the edge
    assert body["deep"] == pytest.approx(267 + rear, abs=0.01)
    assert body["wide"] == pytest.approx(2 * PITCH_MM - 2.67, abs=0.2)


def test_both_stands_show_one_row_turned_by_a_right_angle() -> None:
    flat, tower = groups("flat"), groups("tower")
    for number in range(1, 8):
        receptacle = f"slot{number}"
        # the first box holds the slot's name, whose room differs
        turned, straight = (
            [(round(box["deep"], 1), round(box["wide"], 1)) for box in boxes[receptacle][1:]]
            for boxes in (flat, tower)
        )
        assert turned == straight


def test_a_point_of_the_row_falls_where_the_stand_says() -> None:
    """In a tower the row grows downwards from its rear edge; lying flat, to the right of it."""
    assert Stand("tower", 10, 20).point(5, 1) == (15, 21)
    assert Stand("flat", 10, 200).point(5, 1) == (11, 195)


LANES = [
    # width, wired, segments, lanes known, trained lanes -> states in words of how many
    (16, 16, ((0, 16, "pcie"),), True, (0, 8), "8 used, 8 given"),
    (16, 16, ((0, 8, "pcie"),), True, (0, 8), "8 used, 8 elsewhere"),
    (16, 8, ((0, 8, "pcie"),), True, (0, 8), "8 used, 8 unwired"),
    (8, 4, ((0, 4, "pcie"),), True, None, "4 given, 4 unwired"),
    (16, 16, (), True, None, "16 elsewhere"),
    (4, 4, ((0, 4, "pcie"),), False, None, "4 unknown"),
    (16, 16, ((0, 4, "pcie"), (4, 4, "pcie"), (8, 8, "pcie")), True, (4, 4),
     "4 given, 4 used, 8 given"),
]  # fmt: skip


@pytest.mark.parametrize(("width", "wired", "segments", "known", "trained", "says"), LANES)
def test_lanes_are_filled_as_they_are(
    width: int,
    wired: int,
    segments: tuple[tuple[int, int, str], ...],
    known: bool,
    trained: tuple[int, int] | None,
    says: str,
) -> None:
    hand = Hand(CLEAN)
    place = hand.receptacle("slot1", width=width, wired=wired, segments=segments, lanes_known=known)
    seat = hand.seat("card", "slot1", link(trained[1], at=trained[0])) if trained else None
    found = runs_of(place, lane_states(place, seat))
    assert ", ".join(f"{lanes} {state}" for state, _, lanes in found) == says


def test_every_board_receptacle_is_told_in_words() -> None:
    """The description is what a screen reader reads."""
    answer = hand_answer()
    root = ET.fromstring(slot_row_svg(answer))
    said = root.findtext(f"{SVG}desc") or ""
    for place in answer.plan.receptacles:
        if place.on_board:
            assert f"{place.label}: {place.item or place.state}" in said
    labelled = (root.get("aria-labelledby") or "").split()
    assert labelled == [root.find(SVG + tag).get("id") for tag in ("title", "desc")]  # type: ignore[union-attr]


def test_every_part_and_socket_is_named_in_the_picture() -> None:
    """From the picture alone every part can be placed."""
    answer = hand_answer()
    texts = {e.text for e in ET.fromstring(slot_row_svg(answer, "tower")).iter(f"{SVG}text")}
    for seat in answer.plan.seats:
        whole = seat.body.companion_of
        assert (f"to {whole}" if whole else seat.item) in texts
    assert {place.label for place in answer.plan.receptacles if place.item} <= texts


@pytest.mark.parametrize("stand", ["flat", "tower"])
def test_the_setting_to_choose_stands_at_its_slot(stand: StandName) -> None:
    answer = hand_answer()
    groups = {
        g.get("data-site"): g for g in ET.fromstring(slot_row_svg(answer, stand)).iter(f"{SVG}g")
    }
    set_here = [seat for seat in answer.plan.seats if seat.setting and seat.site in groups]
    assert set_here
    for seat in set_here:
        said = [text.text or "" for text in groups[seat.site].iter(f"{SVG}text")]
        assert seat.setting in said


def test_a_slots_name_may_go_over_several_lines_where_the_board_lies_flat() -> None:
    root = ET.fromstring(slot_row_svg(hand_answer(), "flat"))
    (group,) = [g for g in root.iter(f"{SVG}g") if g.get("data-site") == "slot3"]
    texts = [e.text or "" for e in group.iter(f"{SVG}text")]
    assert "".join(texts).replace(" ", "").startswith("SLOT3CPUA")


def test_a_board_without_rows_or_parts_is_drawn_too() -> None:
    answer = hand_answer()
    bare = with_plan(answer, seats=(), rows=(), receptacles=(), groups=())
    assert "Board" in slot_row_svg(bare)


def test_names_in_a_row_are_told_in_short() -> None:
    assert in_short(["m2a", "m2b", "m2c", "x"]) == "m2a to m2c, x"
    assert in_short(["a1", "a2"]) == "a1, a2"
    assert in_short(["a9", "a10", "a11"]) == "a9 to a11"
    assert in_short([]) == ""


@pytest.mark.parametrize(
    ("label", "broken"),
    [
        ("SLOT 7", "SLOT 7"),
        ("SLOT7", "SLOT 7"),
        ("SLOT 7 CHIPSET", "SLOT 7 CHIP SET"),
        ("PCIEXPRESSSLOT12", "PCIEX PRESS SLOT 12"),
    ],
)
def test_a_name_is_broken_rather_than_cut_where_the_row_lies_flat(label: str, broken: str) -> None:
    assert in_short_words(label) == broken


@pytest.mark.parametrize("stand", ["flat", "tower"])
def test_slots_of_long_names_are_told_apart(stand: StandName) -> None:
    """Whoever holds a card has to find its slot by what is printed in the picture."""
    answer = hand_answer()
    named = tuple(
        replace(one, label=f"PCIEXPRESS_{one.position} (CPU 1)") if one.row else one
        for one in answer.plan.receptacles
    )
    root = ET.fromstring(slot_row_svg(with_plan(answer, receptacles=named), stand))
    seen = []
    for group in root.iter(f"{SVG}g"):
        drawn = [text.text or "" for text in group.iter(f"{SVG}text")]
        seen.append("".join(drawn[:2] if stand == "tower" else drawn[:3]).replace(" ", ""))
    in_row = [one for one in named if one.row]
    assert len(seen) == len(in_row)
    assert len(set(seen)) == len({one.label for one in in_row})


@pytest.mark.parametrize("stand", ["flat", "tower"])
@pytest.mark.parametrize("seed", range(6))
def test_the_line_shows_the_room_at_each_opening(stand: StandName, seed: int) -> None:
    """At the middle of each pitch the dashed line is as far out as a card there may be long."""
    dice = Random(f"room at openings {seed}")
    answer = hand_answer()
    places = sorted(dice.sample(range(7), dice.randint(0, 4)))
    at = tuple((place, float(dice.choice((180, 200, 245)))) for place in places)
    plan = replace(answer.plan, rows=(replace(answer.plan.rows[0], card_length_at=at),))
    said = dict(at)
    root = ET.fromstring(slot_row_svg(replace(answer, plan=plan), stand))
    dashed = [line for line in root.iter(f"{SVG}line") if line.get("stroke-dasharray") == "5 2"]
    assert dashed
    ends = [[float(line.get(k) or 0) for k in ("x1", "y1", "x2", "y2")] for line in dashed]
    turned = [
        (-y1, x1, -y2, x2) if stand == "flat" else tuple(e) for e in ends for x1, y1, x2, y2 in [e]
    ]
    rear = min(along for along, _, far, _ in turned if along == far) - min(
        said.values(), default=300
    )
    left = min(across for _, across, _, _ in turned)
    for position in range(7):
        middle = left + (position + 0.5) * PITCH_MM
        shown = [
            a - rear for a, y1, b, y2 in turned if a == b and min(y1, y2) < middle < max(y1, y2)
        ]
        assert shown == [pytest.approx(said.get(position, 300), abs=0.1)]
