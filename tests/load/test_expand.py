"""Short forms of a board stand for the arrangements a manual would spell out."""

from random import Random
from typing import Any

import pytest

from slotfit.load.entities import read_inline
from slotfit.load.expand import EITHER, expand, lane_orders
from slotfit.model.board import Arrangement, Board

HEAD = "id: b\nprocessors: [{id: cpu0}]\nreceptacles:\n  - "


def arrangements(receptacle: str) -> list[Arrangement]:
    """The arrangements of the only lane group of a board with this one receptacle."""
    board = read_inline(HEAD + receptacle, Board, "b.yaml")
    assert len(board.lane_groups) == 1
    assert board.lane_groups[0].from_ == "cpu0"
    return list(board.lane_groups[0].arrangements)


def row(one: Arrangement) -> tuple[Any, ...]:
    return (*one.gives.values(), one.setting, one.proof, one.chosen_by, one.order)


# Lane order of asymmetric labels.  EDK2-platforms ba037b96944c, IioRegs.h:95-104, lists
# high lanes first: code 1, x4x4xxx8 = x4 on lanes 15:12, x4 on 11:8, x8 on 7:0; code 2, xxx8x4x4 =
# x8 on lanes 15:8.  EDK2-platforms 9ef9bcef5090 RootComplexNVParam.c:1-45 lists low lanes first
# (worked out from the root ports each mode keeps): x8+x4+x4 = RP0 x8 from lane 0, RP2 x4, RP3 x4.
# Its header of PCIe complexes:
# a slot wired in reverse has the port's highest lane as its lane 0.
@pytest.mark.parametrize(
    ("label", "label_order", "is_reversed", "from_lane_0"),
    [
        ((4, 4, 8), "high-first", False, [(8, 4, 4)]),
        ((8, 4, 4), "high-first", False, [(4, 4, 8)]),
        ((8, 4, 4), "low-first", False, [(8, 4, 4)]),
        ((8, 4, 4), "high-first", True, [(8, 4, 4)]),
        ((8, 4, 4), "low-first", True, [(4, 4, 8)]),
        ((8, 4, 4), None, False, [(8, 4, 4), (4, 4, 8)]),
        ((8, 4, 4), "high-first", None, [(8, 4, 4), (4, 4, 8)]),
        ((8, 4, 4), None, None, [(8, 4, 4), (4, 4, 8)]),
        ((8, 8), None, None, [(8, 8)]),
        ((4, 8, 4), None, None, [(4, 8, 4)]),
        ((4, 4, 4, 4), "high-first", True, [(4, 4, 4, 4)]),
    ],
)
def test_lane_order_of_a_label(
    label: tuple[int, ...], label_order: Any, is_reversed: bool | None, from_lane_0: Any
) -> None:
    assert list(lane_orders(label, label_order, is_reversed)) == from_lane_0


LISTED = "documented"
SHORT_FORMS: dict[str, tuple[str, list[tuple[Any, ...]]]] = {
    "not divided": (
        "{id: s, form: cem, lanes: 16, splits: []}",
        [((16,), None, LISTED, "fixed", "known")],
    ),
    "the first that is listed is what the board does by itself": (
        "{id: s, form: cem, lanes: 8, splits: [x4x4, {split: x8, setting: Auto, proof: seen}]}",
        [
            ((4, 4), "x4x4", LISTED, "setting", "known"),
            ((8,), "Auto", "seen", "setting", "known"),
        ],
    ),
    "what is not listed does not exist": (
        "{id: s, form: cem, lanes: 16, splits: [{split: x4x4x4x4, chosen_by: fixed}]}",
        [((4, 4, 4, 4), None, LISTED, "fixed", "known")],
    ),
    "the menu names the port's width": (
        """{id: s, form: cem, lanes: 8, splits: [x8,
        {split: x4x4, setting: x4x4x4x4, proof: menu-only}]}""",
        [
            ((8,), "x8", LISTED, "setting", "known"),
            ((4, 4), "x4x4x4x4", "menu-only", "setting", "known"),
        ],
    ),
    "lane order known": (
        """{id: s, form: cem, lanes: 16, splits: [x16, x8x4x4], label_order: high-first,
        reversed: false}""",
        [
            ((16,), "x16", LISTED, "setting", "known"),
            ((4, 4, 8), "x8x4x4", LISTED, "setting", "known"),
        ],
    ),
    "lane order not known": (
        "{id: s, form: cem, lanes: 16, splits: [x16, x8x4x4], label_order: high-first}",
        [
            ((16,), "x16", LISTED, "setting", "known"),
            ((8, 4, 4), "x8x4x4", LISTED, "setting", "unknown"),
            ((4, 4, 8), "x8x4x4", LISTED, "setting", "unknown"),
        ],
    ),
    "chosen by a jumper": (
        "{id: s, form: cem, lanes: 8, splits: [{split: x4x4, chosen_by: jumper}, x8]}",
        [
            ((4, 4), "x4x4", LISTED, "jumper", "known"),
            ((8,), "x8", LISTED, "setting", "known"),
        ],
    ),
    "nobody has said which divisions exist, sixteen lanes": (
        "{id: s, form: cem, lanes: 16}",
        [
            ((16,), "x16", LISTED, "setting", "known"),
            ((8, 8), "x8x8", None, "setting", "known"),
            ((4, 4, 4, 4), "x4x4x4x4", None, "setting", "known"),
        ],
    ),
    "nobody has said which divisions exist, eight lanes": (
        "{id: s, form: slimsas-8, lanes: 8}",
        [((8,), "x8", LISTED, "setting", "known"), ((4, 4), "x4x4", None, "setting", "known")],
    ),
    "four lanes hold no carrier": (
        "{id: s, form: m2-m, lanes: 4}",
        [((4,), None, LISTED, "fixed", "known")],
    ),
    "nobody has said how it is wired": (
        "{id: s, form: cem, width: 8}",
        [((8,), "x8", None, "setting", "known"), ((4, 4), "x4x4", None, "setting", "known")],
    ),
    "wiring unknown, divisions known to be none": (
        "{id: s, form: cem, width: 8, splits: []}",
        [((8,), None, None, "fixed", "known")],
    ),
    "an M.2 socket of which nothing is said": (
        "{id: s, form: m2-m}",
        [((4,), None, None, "fixed", "known")],
    ),
    "sata": ("{id: s, form: sata}", [(("sata",), None, LISTED, "fixed", "known")]),
    "sas": ("{id: s, form: sas}", [(("sas",), None, LISTED, "fixed", "known")]),
    "sas on a four-lane connector": (
        "{id: s, form: sff-8643, bus: sas}",
        [(("sas",) * 4, None, LISTED, "fixed", "known")],
    ),
    "two ports of such a connector": (
        "{id: s, form: sff-8643, bus: sata, lanes: 2}",
        [(("sata",) * 2, None, LISTED, "fixed", "known")],
    ),
    "usb": ("{id: s, form: usb-header}", [((1,), None, LISTED, "fixed", "known")]),
}


@pytest.mark.parametrize("name", SHORT_FORMS)
def test_short_form(name: str) -> None:
    receptacle, expected = SHORT_FORMS[name]
    assert [row(one) for one in arrangements(receptacle)] == expected


MENU = ("x16", "x8x8", "x4x4x4x4", "x8x4x4", "x4x4x8", "x8x4", "x4")


@pytest.mark.parametrize("seed", range(50))
def test_a_list_of_splits_is_all_there_is_and_its_first_is_the_default(seed: int) -> None:
    dice = Random(seed)
    listed = dice.sample(MENU, dice.randint(1, 5))
    made = arrangements(f"{{id: s, form: cem, lanes: 16, splits: [{', '.join(listed)}]}}")
    made = [one for one in made if not str(one.id).endswith(EITHER)]  # made of two of them
    labels = ["".join(f"x{width}" for width in one.gives["s"]) for one in made]
    either = {label: ("x" + "x".join(label[1:].split("x")[::-1])) for label in listed}
    assert set(labels) == {*either, *either.values()}
    assert labels[0] == listed[0]
    assert list(dict.fromkeys(one.setting for one in made)) == listed


@pytest.mark.parametrize(
    "receptacle",
    ["{id: s, form: cem, lanes: 0}", "{id: s, form: opening}", "{id: s, form: cooling-mount}"],
)
def test_no_lanes_no_group(receptacle: str) -> None:
    assert read_inline(HEAD + receptacle, Board, "b.yaml").lane_groups == ()


LONG = """\
id: b
processors: [{id: cpu0}, {id: cpu1}]
lane_groups:
  - id: pe1
    from: cpu1
    generation: 4
    arrangements:
      - gives: {s1: [16]}
      - {id: both, gives: {s1: [8], s2: [8]}, chosen_by: presence}
      - {gives: {s1: [8, 4], s2: [4]}, order: unknown, setting: x8x4x4}
      - {gives: {s1: [4, 4], s2: [8]}, order: unknown, proof: menu-only}
receptacles:
  - {id: s1, form: cem, width: 16}
  - {id: s2, form: cem, width: 8}
  - {id: pe1, form: m2-m, lanes: 4, from: cpu0, generation: 3}
"""


def test_long_form_gets_ids_and_both_orders() -> None:
    board = read_inline(LONG, Board, "b.yaml")
    written, made = board.lane_groups
    assert [(one.id, one.gives, one.proof) for one in written.arrangements] == [
        ("pe1.1", {"s1": (16,)}, "documented"),
        ("both", {"s1": (8,), "s2": (8,)}, "documented"),
        ("pe1.3", {"s1": (8, 4), "s2": (4,)}, None),
        ("pe1.3.turned", {"s1": (4, 8), "s2": (4,)}, None),
        ("pe1.4", {"s1": (4, 4), "s2": (8,)}, "menu-only"),
    ]
    assert {one.setting for one in written.arrangements[2:4]} == {"x8x4x4"}
    # A receptacle called as a lane group still gets a group with an id of its own.
    assert (made.id, made.from_, made.generation) == ("pe1.lanes", "cpu0", 3)
    ids = [one.id for group in board.lane_groups for one in group.arrangements]
    assert len(set(ids)) == len(ids)


def test_expanding_twice_changes_nothing() -> None:
    board = read_inline(LONG, Board, "b.yaml")
    assert expand(board) == board


def test_what_is_made_points_at_what_was_written() -> None:
    text = HEAD + "id: s\n    form: cem\n    lanes: 16\n    splits: [x8x8,\n      x8x4x4]\n"
    group = read_inline(text, Board, "b.yaml").lane_groups[0]
    assert [str(one.span()) for one in group.arrangements] == [
        "b.yaml:7:14",
        "b.yaml:8:7",
        "b.yaml:8:7",
    ]
    assert str(group.span()) == "b.yaml:6:5"


def test_lanes_from_nobody_knows_where_make_a_group_of_no_known_origin() -> None:
    processors = "processors: [{id: cpu0}, {id: cpu1}]"
    text = f"id: b\n{processors}\nreceptacles: [{{id: s, form: cem, lanes: 8}}]"
    (group,) = read_inline(text, Board, "b.yaml").lane_groups
    assert group.from_ is None


def test_a_written_group_on_the_only_processor_need_not_say_so() -> None:
    text = HEAD + "{id: s, form: cem}\nlane_groups: [{id: g, arrangements: [{gives: {s: [16]}}]}]"
    (group,) = read_inline(text, Board, "b.yaml").lane_groups
    assert group.from_ == "cpu0"


def test_a_board_may_have_no_receptacle_that_anyone_knows_of() -> None:
    board = read_inline("id: b\nprocessors: [{id: cpu0}]\nreceptacles: []", Board, "b.yaml")
    assert (board.receptacles, board.lane_groups) == ((), ())
