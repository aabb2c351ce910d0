"""Every entity knows where it, and each of its fields, was written."""

from slotfit.load.entities import describe
from slotfit.load.yaml_file import parse_yaml
from slotfit.model.board import Board
from slotfit.model.build import Build
from slotfit.model.entity import Entity
from slotfit.model.part import PartSpec


def place(entity: Entity, field: str = "") -> str:
    return str(entity.span(field))


def test_nested_entities_and_fields() -> None:
    text = """\
id: b
processors: [{id: cpu0}]
lane_groups:
  - id: g
    from: cpu0
    arrangements:
      - gives: {s: [8, 8]}
      - gives:
          s:
            - 16
        setting: whole
receptacles:
  - id: s
    form: cem
    splits: [x8x8, {split: x16}]
"""
    board = describe(Board, parse_yaml(text, "b.yaml")).entity
    assert board is not None
    assert place(board) == "b.yaml:1:1"
    assert place(board, "rows") == "b.yaml:1:1"  # not written: the board itself
    assert place(board.processors[0]) == "b.yaml:2:14"
    assert place(board.processors[0], "id") == "b.yaml:2:15"
    group = board.lane_groups[0]
    assert place(group, "from") == place(group, "from_") == "b.yaml:5:5"
    first, second = group.arrangements
    assert place(first, "gives.s[1]") == "b.yaml:7:24"
    assert place(second, "gives.s[0]") == "b.yaml:10:15"
    assert place(second, "setting") == "b.yaml:11:9"
    splits = board.receptacles[0].splits
    assert splits is not None
    assert place(splits[0]) == "b.yaml:15:14"
    assert place(splits[1], "split") == "b.yaml:15:21"


def test_short_forms_point_at_their_key() -> None:
    text = "id: carrier\nplug: cem x8\nlinks: 2x4\ndemand: 3\n"
    part = describe(PartSpec, parse_yaml(text, "p.yaml")).entity
    assert part is not None
    assert place(part.plug, "width") == "p.yaml:2:1"
    assert [place(link, "at") for link in part.links] == ["p.yaml:3:1"] * 2
    assert part.demand is not None
    assert place(part.demand) == "p.yaml:4:1"


def test_names_in_a_build() -> None:
    text = """\
id: home
machines: [{id: box, board: b}]
parts:
  - {id: nic, part: p, only: [slot1, slot2]}
today:
  nic: slot1
"""
    build = describe(Build, parse_yaml(text, "b.yaml")).entity
    assert build is not None
    assert place(build.parts[0], "only[1]") == "b.yaml:4:38"
    assert place(build, "today.nic") == "b.yaml:6:3"
    assert place(build.machines[0], "board") == "b.yaml:2:22"


def test_marks_are_each_entitys_own() -> None:
    text = "id: p\nplug: cem x8\nreceptacles: [{id: a, form: m2-m}, {id: b, form: m2-m}]\n"
    part = describe(PartSpec, parse_yaml(text, "p.yaml")).entity
    assert part is not None
    assert place(part.receptacles[0], "form") != place(part.receptacles[1], "form")
