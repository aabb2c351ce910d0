"""A build file becomes a problem in which every name is an id and every plug has its part."""

from pathlib import Path

from slotfit.load.build_file import load_build, load_build_text
from slotfit.load.catalog import Catalog
from slotfit.model.problem import Part, Problem

HERE = Path(__file__).parent
ONE = "id: home\nmachines: [{id: box, board: two-socket}]\n"
TWO = "id: home\nmachines: [{id: old, board: two-socket}, {id: new, board: two-socket}]\n"


def problem(text: str, beside: Path | None = None) -> Problem:
    return load_build_text(text, Catalog([HERE / "catalog"]), beside=beside)


def part(found: Problem, name: str) -> Part:
    return found.part[name]


def test_receptacles_of_one_machine_have_short_names() -> None:
    found = problem(ONE + "parts: [{id: carrier, part: carrier-2}]\n")
    assert list(found.receptacle) == ["slot1", "slot2", "slot3", "m2-1", "carrier/a", "carrier/b"]
    assert (found.receptacle["slot1"].owner, found.receptacle["slot1"].on_board) == ("box", True)
    assert (found.receptacle["carrier/a"].owner, found.receptacle["carrier/a"].on_board) == (
        "carrier",
        False,
    )
    assert found.receptacle["slot2"].row == ("box", "rear")


def test_a_part_named_as_a_place_stands_for_all_its_receptacles() -> None:
    parts = """parts:
  - {id: carrier, part: carrier-2, count: 2}
  - {id: ssd, part: nvme, only: [carrier-2, m2-1], ban: [carrier]}
"""
    wish = part(problem(ONE + parts), "ssd").wish
    assert wish.only == ("carrier-2/a", "carrier-2/b", "m2-1")
    assert wish.ban == ("carrier-1/a", "carrier-1/b", "carrier-2/a", "carrier-2/b")


def test_receptacles_of_several_machines_name_the_machine() -> None:
    found = problem(TWO)
    assert list(found.receptacle)[:2] == ["old/slot1", "old/slot2"]
    assert {receptacle.owner for receptacle in found.receptacles} == {"old", "new"}


def test_counted_parts_are_numbered() -> None:
    found = problem(ONE + "parts: [{id: carrier, part: carrier-2, count: 2, weight: 3}]\n")
    assert list(found.part) == ["carrier-1", "carrier-2"]
    assert [one.wish.id for one in found.parts] == ["carrier-1", "carrier-2"]
    assert {one.wish.count for one in found.parts} == {1}
    assert {"carrier-1/a", "carrier-2/b"} <= set(found.receptacle)


def test_passive_links_lead_to_the_sockets_in_order() -> None:
    found = problem(ONE + "parts: [{id: carrier, part: carrier-2}]\n")
    assert [(link.at, link.to) for link in part(found, "carrier").spec.links] == [
        (0, ("a",)),
        (4, ("b",)),
    ]


def test_names_become_receptacle_ids_in_a_build_of_one_machine() -> None:
    text = """parts:
  - {id: ssd, part: nvme, pin: box/m2-1}
  - {id: more, part: nvme, count: 2, only: [carrier/a, carrier/b, m2-1]}
  - {id: carrier, part: carrier-2, count: 2, ban: [slot3, slot3, box/slot3], near: box/cpu1}
  - {id: third, part: nvme, only: [carrier-1/a, carrier/a]}
today: {ssd: box/m2-1, more-1: carrier-2/b, more-2: attic/slot4}
apart: [{parts: [carrier]}, {parts: [more, ssd]}]
untouchable: [carrier, machine]
"""
    found = problem(ONE + text.replace("[carrier/a, carrier/b, m2-1]", "[carrier/a, m2-1]"))
    assert part(found, "ssd").wish.pin == "m2-1"
    assert part(found, "more-1").wish.only == ("carrier-1/a", "carrier-2/a", "m2-1")
    assert part(found, "carrier-1").wish.ban == ("slot3",)
    assert part(found, "carrier-2").wish.near == "cpu1"
    assert part(found, "third").wish.only == ("carrier-1/a", "carrier-2/a")
    assert found.today == {"ssd": "m2-1", "more-1": "carrier-2/b", "more-2": "attic/slot4"}
    assert [group.parts for group in found.apart] == [
        ("carrier-1", "carrier-2"),
        ("more-1", "more-2", "ssd"),
    ]
    assert found.untouchable == ("carrier-1", "carrier-2", "machine")


def test_names_become_receptacle_ids_in_a_build_of_several_machines() -> None:
    text = """parts:
  - {id: ssd, part: nvme, pin: new/m2-1, near: cpu0}
  - {id: more, part: nvme, pin: m2-1, machine: old, near: cpu0}
  - {id: nic, part: carrier-2, near: new/cpu1}
today: {ssd: old/m2-1}
"""
    found = problem(TWO + text)
    assert part(found, "ssd").wish.pin == "new/m2-1"
    assert part(found, "ssd").wish.near == "cpu0"  # of whichever machine it goes to
    assert (part(found, "more").wish.pin, part(found, "more").wish.near) == (
        "old/m2-1",
        "old/cpu0",
    )
    assert part(found, "nic").wish.near == "new/cpu1"
    assert found.today == {"ssd": "old/m2-1"}


def test_a_wish_still_knows_its_line() -> None:
    found = problem(ONE + "parts:\n  - {id: ssd, part: nvme, count: 2, only: [slot1, m2-1]}\n")
    assert str(part(found, "ssd-2").wish.span("only[1]")) == "build.yaml:4:51"


def test_an_extra_plug_is_a_part_of_its_own() -> None:
    found = problem(ONE + "parts: [{id: exp, part: expander, machine: box, required: false}]\n")
    main, companion = found.parts
    assert (main.id, main.companion_of) == ("exp", None)
    assert (companion.id, companion.companion_of) == ("exp:up", "exp")
    assert (main.spec.links, main.spec.receptacles, main.spec.extra_plugs) == ((), (), ())
    assert companion.spec.plug.form == "sff-8643"
    assert [(link.bus, link.lanes) for link in companion.spec.links] == [("sas", 4)]
    assert [one.id for one in companion.spec.receptacles] == ["p0", "p1"]
    # The sockets are named for the part, and get their lanes through the companion.
    assert {name: found.receptacle[name].owner for name in ("exp/p0", "exp/p1")} == {
        "exp/p0": "exp:up",
        "exp/p1": "exp:up",
    }
    # Body, power and price are counted once; demand goes where the lanes go.
    assert main.spec.plug.width == 8
    assert (companion.spec.power, companion.spec.price) != (main.spec.power, 0)
    assert main.spec.demand is None
    assert companion.spec.demand is not None
    assert companion.spec.demand.in_gb_s == 2
    assert (companion.wish.required, companion.wish.machine) == (False, "box")


def test_a_companion_leaves_the_parts_own_lines_alone() -> None:
    text = """parts:
  - id: exp
    part: {id: e, plug: cem x4, extra_plugs: [{id: up, plug: sff-8643, links: x4}]}
"""
    main, companion = problem(ONE + text).parts
    assert str(main.spec.span()) == str(companion.spec.span()) == "build.yaml:5:5"
    assert str(main.wish.span()) == str(companion.wish.span()) == "build.yaml:4:5"


def test_numbered_parts_have_numbered_companions() -> None:
    found = problem(ONE + "parts: [{id: exp, part: expander, count: 2}]\n")
    assert [(one.id, one.companion_of) for one in found.parts] == [
        ("exp-1", None),
        ("exp-1:up", "exp-1"),
        ("exp-2", None),
        ("exp-2:up", "exp-2"),
    ]


def test_references_are_followed_from_the_file_they_stand_in(tmp_path: Path) -> None:
    (tmp_path / "parts").mkdir()
    (tmp_path / "parts/own.yaml").write_text("id: own\nplug: cem x4\n", encoding="utf-8")
    (tmp_path / "tower.yaml").write_text("id: tower\nopenings: 7\n", encoding="utf-8")
    (tmp_path / "build.yaml").write_text(
        """id: home
machines:
  - id: box
    board: two-socket
    chassis: tower.yaml
    power_supply: {id: psu, watts: 750}
    processors: [cpu0]
parts:
  - {id: mine, part: parts/own.yaml}
  - {id: here, part: {id: here, plug: cem x1, links: x1}}
""",
        encoding="utf-8",
    )
    found = load_build(tmp_path / "build.yaml", Catalog([HERE / "catalog"]))
    machine = found.machines[0]
    assert (machine.chassis and machine.chassis.openings) == 7
    assert (machine.power_supply and machine.power_supply.watts) == 750
    assert machine.fitted == {"cpu0"}
    assert [one.spec.id for one in found.parts] == ["own", "here"]
    assert part(found, "here").spec.links[0].lanes == 1


def test_boards_arrive_expanded() -> None:
    machine = problem(ONE).machines[0]
    assert set(machine.group_of) == {"slot1", "slot2", "slot3", "m2-1"}
    assert machine.hops("pch") == ("pch",)
    assert machine.processor_of("pch") == "cpu0"
