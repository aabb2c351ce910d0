"""
Sizes, power and air of the parts: within the published limits, implausible values absent.

The expectations are typed out here with their source, not taken from `slotfit.standards`.
"""

import re
from collections import defaultdict
from collections.abc import Iterator

import pytest

from slotfit.model.part import PartSpec
from tests.catalog.entries import PART_IDS, lanes_of, of_class, parts

HALF_LENGTH_MM, FULL_LENGTH_MM = 167.65, 312.0
LOW_PROFILE_MM, FULL_HEIGHT_MM = 68.9, 111.15
"""open drawing of card outlines (measured)."""

ABOVE_THE_SLOTS_CLASS = {
    "accel-fan-70w-gen4-x8",
    "accel-passive-70w",
    "accel-passive-72w-gen4",
    "nic-100g-2p-gen4",
    "nic-200g-1p-gen4",
    "nic-200g-1p-gen5-x8",
    "nic-200g-2p-gen5",
    "nic-400g-1p-gen5",
}
"""Cards that draw more than the 25 W of their class; their sources say so."""

PLUG_W = {"pcie-6": 75, "pcie-8": 150, "12v-2x6": 600, "eps-8": 336, "molex-4": 132}
PLUG_W["sata-power"] = 54
"""ATX 3 design guide 336521 table 3-5 (as quoted); the last three from memory."""

M2_LENGTHS_MM = {16, 26, 30, 38, 42, 60, 80, 110}
"""PCI Express M.2, through a drive manual p. 3 (as quoted)."""

M2_W = 9 * 0.5 * 3.3
"""Contacts x current x volts of a key M socket (from memory)."""

DRIVE_W = {"u2": 25, "u3": 25, "e1s": 25, "e1l": 40, "e3s": 25, "e3l": 40}
"""Drive maker's form factor page (as quoted); E3 from memory."""

THICK_DRIVE_W = {"nvme-e3s-2t-gen5": 40}
"""SFF-TA-1008: E3.S of two thicknesses 40 W (from memory)."""

FORM_AT_MOST = {"oculink-4": 4, "slimsas-4": 4, "slimsas-8": 4, "mcio-4": 5, "mcio-8": 5}
FORM_AT_MOST |= {"mcio-16": 5, "sff-8643": 3, "sff-8644": 3, "m2-m": 5, "ocp3-sff": 5}
"""Newest PCIe generation in practice: cable maker's brief (as quoted); M.2 from memory."""

CARDS = [name for name, part in parts().items() if part.plug.form == "cem"]


def slot_limit_w(part: PartSpec) -> float:
    """CEM 1.1 pp. 35-36 (as quoted): 10 W x1 low profile, 25 W, 75 W for graphics in x16."""
    if part.plug.width == 1:
        return 10 if part.height_mm == LOW_PROFILE_MM else 25
    graphics = part.power is not None and part.power.graphics
    return 75 if part.plug.width == 16 and graphics else 25


def implausible(part: PartSpec) -> Iterator[str]:
    """What no card of that build can be."""
    limit = 75 if part.id in ABOVE_THE_SLOTS_CLASS else slot_limit_w(part)
    draw = part.power.slot_w if part.power else None
    if draw and draw > limit:
        yield f"{draw:g} W from a slot that gives {limit:g}"
    if lanes_of(part) > (part.plug.width or 0):
        yield f"{lanes_of(part)} lanes on a connector of {part.plug.width}"
    length, height = part.length_mm or 0, part.height_mm or 0
    if part.bracket in ("low", "both"):
        if length > HALF_LENGTH_MM or height > LOW_PROFILE_MM:
            yield f"a low-profile card of {length:g} x {height:g} mm"
        return
    if length > FULL_LENGTH_MM and "length_mm" not in part.meant:
        yield f"{length:g} mm, longer than full length, and not a word of it"
    if height > FULL_HEIGHT_MM and "height_mm" not in part.meant:
        yield f"{height:g} mm, higher than full height, and not a word of it"


@pytest.mark.parametrize("name", CARDS)
def test_no_card_is_implausible(name: str) -> None:
    assert list(implausible(parts()[name])) == []


def test_the_check_above_can_fail() -> None:
    """The two examples that a lint must find, and one of each other kind."""
    hot = PartSpec.model_validate({"id": "a", "plug": "cem x1", "power": {"slot_w": 30}})
    long = {"id": "b", "plug": "cem x4", "length_mm": 200, "height_mm": 68.9, "bracket": "low"}
    huge = {"id": "c", "plug": "cem x16", "length_mm": 336, "height_mm": 140, "links": "x16"}
    wide = {"id": "d", "plug": "cem x4", "links": "x8"}
    assert list(implausible(hot)) == ["30 W from a slot that gives 25"]
    assert list(implausible(PartSpec.model_validate(long))) == [
        "a low-profile card of 200 x 68.9 mm"
    ]
    assert len(list(implausible(PartSpec.model_validate(huge)))) == 2
    assert list(implausible(PartSpec.model_validate(wide))) == ["8 lanes on a connector of 4"]


def test_cards_above_their_class_say_so() -> None:
    for name in ABOVE_THE_SLOTS_CLASS:
        assert parts()[name].meant == ("slot_w",)


@pytest.mark.parametrize("name", CARDS)
def test_every_card_says_what_a_slot_row_must_know(name: str) -> None:
    part = parts()[name]
    assert part.thickness
    assert part.length_mm
    assert part.height_mm
    assert part.bracket
    if part.part_class != "riser":
        assert part.power
        assert part.cooling


@pytest.mark.parametrize("name", PART_IDS)
def test_plugs_carry_what_the_part_draws_through_them(name: str) -> None:
    power = parts()[name].power
    if power is None or not power.aux:
        assert not (power and power.aux_w)
        return
    assert (power.aux_w or 0) <= sum(PLUG_W[plug] for plug in power.aux)


def test_watts_in_a_name_are_slot_and_plugs_together() -> None:
    checked = 0
    for name, part in parts().items():
        if found := re.search(r"-(\d+)w\b", name):
            assert part.power
            total = (part.power.slot_w or 0) + (part.power.aux_w or 0)
            assert total == int(found[1]), name
            checked += 1
    assert checked >= 15


@pytest.mark.parametrize("name", of_class("accelerator"))
def test_thick_accelerators_are_named_for_their_width(name: str) -> None:
    part = parts()[name]
    words = {"single": 1, "double": 2, "two slots": 2, "triple": 3, "four slots": 4}
    told = [count for word, count in words.items() if word in (part.name or "").lower()]
    if told:
        assert part.thickness == told[0]


DUCTED = {"host-bus-adapter", "network-card", "accelerator"}
"""Classes for which clips and ducts with fans are sold (common practice, no source)."""


def test_passive_cards_that_need_ducted_air_take_an_air_mover() -> None:
    checked = 0
    for name, part in parts().items():
        can_have_one = part.part_class in DUCTED and part.plug.form == "cem"
        if can_have_one and part.cooling == "passive" and (part.airflow_lfm or 0) >= 200:
            assert "cooling-mount" in {one.form for one in part.receptacles}, name
            checked += 1
    assert checked >= 8


ACCELERATOR_LFM = {30: (270, 330), 35: (300, 390), 40: (360, 420), 45: (420, 510)}
ACCELERATOR_LFM |= {50: (510, 600), 55: (660, 870)}
"""Data sheet 683226 5.1 of one card of 66 W (as quoted): inlet in C -> LFM in its two tables."""

GUIDES_LFM = {
    # makers' guides on air and 820-6536 appendix A (as quoted), all at 55 C: least, most
    "host-bus-adapter": (200, 300),  # 200 for 12 W; more watts, from memory
    "network-card": (200, 600),  # 200 for 12 W, 350 to 400 for two ports of 25 Gb/s; more, memory
}


def air_of(part: PartSpec) -> tuple[float, float]:
    """Typical and worst, which may be one."""
    worst = part.airflow_lfm or 0
    return getattr(worst, "typical", worst), worst


def test_air_needs_that_quote_the_data_sheet_quote_it_right() -> None:
    checked = 0
    for name, part in parts().items():
        if "683226" in part.sources.get("airflow_lfm", ""):
            assert part.airflow_at_c, name
            assert air_of(part) == ACCELERATOR_LFM[int(part.airflow_at_c)], name
            assert part.power, name
            assert (part.power.slot_w or 0) <= 75, f"{name} is no card of 66 W"
            assert not part.power.aux_w, f"{name} is no card of 66 W"
            checked += 1
    assert checked >= 3


@pytest.mark.parametrize("part_class", GUIDES_LFM)
def test_adapters_ask_for_the_air_that_guides_ask_for(part_class: str) -> None:
    """Those of more than 9 W; the figure of a class is the worst seen, not the best."""
    least, most = GUIDES_LFM[part_class]
    checked = 0
    for name, part in of_class(part_class).items():
        if part.airflow_lfm and part.draw_w > 9:
            assert least <= part.airflow_lfm <= most, name
            checked += 1
    assert checked >= 12


@pytest.mark.parametrize("name", ["nic-25g-2p", "nic-25g-2p-gen4", "nic-ocp-25g-2p"])
def test_two_ports_of_25_g_ask_for_350_to_400(name: str) -> None:
    assert air_of(parts()[name]) == (350, 400)  # makers' guides on air (as quoted)
    assert parts()[name].airflow_at_c == 55


def test_air_is_said_with_its_temperature() -> None:
    """Of cards and modules; of risers and drives in bays nobody is asked."""
    lost = {
        name
        for name, part in parts().items()
        if part.airflow_lfm and part.airflow_at_c is None and part.part_class != "riser"
    }
    assert lost == set()


def test_heavy_accelerators_need_more_air_than_the_card_of_66_w() -> None:
    """At 35 C that one does with 300 or 390 LFM (683226 5.1, as quoted)."""
    heavy = {
        name: part.airflow_lfm
        for name, part in of_class("accelerator").items()
        if part.cooling == "passive" and re.search(r"-(150|250|300|350)w|twin", name)
    }
    assert len(heavy) >= 6
    assert {name for name, lfm in heavy.items() if (lfm or 0) <= 390} == set()


def test_what_varies_within_a_class_says_both() -> None:
    """A typical figure is below the worst, and its source sends to the data sheet or quotes two."""
    spread = 0
    for name, part in parts().items():
        for field, figure in (
            ("airflow_lfm", part.airflow_lfm),
            ("power", part.power and part.power.slot_w),
        ):
            typical = getattr(figure, "typical", None)
            if figure is None or typical is None:
                continue
            assert typical < figure, name
            source = part.sources[field]
            told = "ask the data sheet" in source or " to " in source or "both tables" in source
            assert told or "one adapter of the class" in source, name
            spread += 1
    assert spread >= 60


MODULE_W = {100: 3.5, 400: 9}
"""Optics a module, the least (as quoted); on top of what the card draws."""


def ports_of(part: PartSpec) -> int:
    """How many network ports it has, be they listed or counted."""
    return part.ports if isinstance(part.ports, int) else len(part.ports or ())


@pytest.mark.parametrize(("name", "rate"), [("nic-100g-2p-gen4", 100), ("nic-400g-1p-gen5", 400)])
def test_fast_network_cards_have_room_for_their_optics(name: str, rate: int) -> None:
    part = parts()[name]
    assert part.power
    assert part.power.slot_w
    typical = getattr(part.power.slot_w, "typical", part.power.slot_w)
    assert part.power.slot_w - typical >= MODULE_W[rate] * ports_of(part)


def test_some_air_mover_suffices_for_every_passive_card() -> None:
    strongest = max(part.gives_airflow_lfm or 0 for part in of_class("air-mover").values())
    neediest = max(part.airflow_lfm or 0 for part in parts().values() if part.cooling == "passive")
    assert neediest <= strongest


@pytest.mark.parametrize(
    "name", [name for name, part in parts().items() if part.plug.form.startswith("m2-")]
)
def test_m2_modules_have_sizes_lanes_and_power_of_the_standard(name: str) -> None:
    part = parts()[name]
    assert part.length_mm in M2_LENGTHS_MM
    most = {"m2-m": 4, "m2-b": 2, "m2-bm": 2, "m2-e": 1, "m2-a": 1}
    assert lanes_of(part) <= most[part.plug.form]
    if found := re.search(r"-22(\d+)|-m2-22(\d+)", name):
        assert part.length_mm == int(found[1] or found[2])
    if part.power and part.power.slot_w:
        assert part.power.slot_w <= M2_W


def test_sockets_for_m2_take_lengths_of_the_standard() -> None:
    for name, part in parts().items():
        for one in part.receptacles:
            if one.form.startswith("m2-"):
                assert one.drive_lengths, name
                assert set(one.drive_lengths) <= M2_LENGTHS_MM, name
                assert (one.power_w or 0) <= M2_W, name


@pytest.mark.parametrize(
    "name", [name for name, part in of_class("drive").items() if part.plug.form in DRIVE_W]
)
def test_bay_drives_stay_within_their_form(name: str) -> None:
    part = parts()[name]
    assert part.power
    assert part.power.slot_w
    assert part.power.slot_w <= THICK_DRIVE_W.get(name, DRIVE_W[part.plug.form])
    assert lanes_of(part) == 4


def test_ocp_cards_have_the_small_cards_size() -> None:
    """OCP NIC 3.0 small card 76 x 115 x 11.5 mm (as quoted); envelope 80 W (from memory)."""
    small = [part for part in of_class("network-card").values() if part.plug.form == "ocp3-sff"]
    assert len(small) >= 4
    for part in small:
        assert (part.length_mm, part.height_mm) == (115, 11.5)
        assert part.power
        assert (part.power.slot_w or 0) <= 80


@pytest.mark.parametrize("name", PART_IDS)
def test_no_link_is_newer_than_its_connector_carries(name: str) -> None:
    part = parts()[name]
    pcie = [link for link in part.links if link.bus == "pcie"]
    if pcie and part.plug.form in FORM_AT_MOST:
        assert (part.generation or 0) <= FORM_AT_MOST[part.plug.form]
    for one in part.receptacles:
        if one.bus == "pcie" and one.form in FORM_AT_MOST and part.wiring == "passive":
            assert (part.generation or 0) <= FORM_AT_MOST[one.form]


def test_a_longer_cable_of_a_kind_is_never_faster() -> None:
    """Loss grows with length (common practice, no source)."""
    kinds: dict[tuple[str, ...], list[tuple[float, int]]] = defaultdict(list)
    for name, part in of_class("cable").items():
        assert part.reach_mm, name
        assert part.generation, name
        forms: tuple[str, ...] = (part.plug.form, *(one.form for one in part.receptacles))
        kinds[(*forms, part.links[0].bus)].append((part.reach_mm, part.generation))
    for kind, cables in kinds.items():
        generations = [generation for _, generation in sorted(cables)]
        assert generations == sorted(generations, reverse=True), kind


@pytest.mark.parametrize("name", of_class("cable"))
def test_a_cables_ends_get_all_its_lanes(name: str) -> None:
    part = parts()[name]
    assert len(part.links) == len(part.receptacles)
    assert [link.to for link in part.links] == [(one.id,) for one in part.receptacles]


@pytest.mark.parametrize("name", of_class("riser"))
def test_a_riser_has_room_for_its_slots(name: str) -> None:
    part = parts()[name]
    assert part.row_positions
    positions = [one.position for one in part.receptacles]
    assert len(set(positions)) == len(positions)
    assert max(positions) < part.row_positions
    for one in part.receptacles:
        assert (one.power_w or 0) <= 75  # server user guide p. 24 (as quoted)
        assert one.width == 16 or one.open_end is not None
