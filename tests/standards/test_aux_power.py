"""Power plugs, against ATX design guide 336521 and what CEM says of sense contacts."""

import pytest

from slotfit.standards import aux_power

PLUGS = list(aux_power.PLUGS)


@pytest.mark.parametrize(
    ("plug", "watts", "amperes"),
    # ATX version 3 design guide 336521, Table 3-5: sustained watts and most amperes.
    [("pcie-6", 75, 6.75), ("pcie-8", 150, 13.5), ("12v-2x6", 600, 55)],
)
def test_card_plugs(plug: str, watts: int, amperes: float) -> None:
    assert aux_power.PLUGS[plug].power_w == watts
    assert watts <= amperes * 12


def test_contacts_of_card_plugs() -> None:
    """2x3, 2x4 and 12+4: ATX version 3 design guide 336521."""
    contacts = [aux_power.PLUGS[plug].contacts for plug in ("pcie-6", "pcie-8", "12v-2x6")]
    assert contacts == [2 * 3, 2 * 4, 12 + 4]


def test_a_6_pin_plug_in_an_8_pin_socket_gives_75_w() -> None:
    """CEM, as quoted: the card sees that Sense1 is missing."""
    assert aux_power.plug_power_w("pcie-6", "pcie-8") == 75


def test_a_6_plus_2_plug_gives_a_6_pin_socket_what_that_socket_takes() -> None:
    """Common practice: the 2 left off, it is a 6-pin plug."""
    assert aux_power.plug_power_w("pcie-8", "pcie-6") == 75


@pytest.mark.parametrize("socket", ["pcie-6", "pcie-8"])
def test_eps_and_pcie_never_meet(socket: str) -> None:
    """CEM and EPS12V: the sides of 12 V and ground are swapped."""
    for plug, other in (("eps-8", socket), (socket, "eps-8")):
        assert aux_power.plug_power_w(plug, other) == 0
        assert "never" in aux_power.why_not(plug, other)


def test_only_the_listed_pairs_mate() -> None:
    mating = {(p, s) for p in PLUGS for s in PLUGS if aux_power.mating_of(p, s)}
    same = {(plug, plug) for plug in PLUGS}
    assert mating == same | {("pcie-6", "pcie-8"), ("pcie-8", "pcie-6")}


@pytest.mark.parametrize("plug", PLUGS)
@pytest.mark.parametrize("socket", PLUGS)
def test_a_pair_has_power_or_a_reason(plug: str, socket: str) -> None:
    power_w = aux_power.plug_power_w(plug, socket, rating_w=600)
    assert (power_w == 0) == bool(aux_power.why_not(plug, socket))


def test_the_shape_of_a_12v_2x6_plug_promises_nothing() -> None:
    """ATX guide 336521, SENSE0 and SENSE1: four levels, told by the cable."""
    assert aux_power.plug_power_w("12v-2x6", "12v-2x6") is None
    for rating_w in (150, 300, 450, 600):
        assert aux_power.plug_power_w("12v-2x6", "12v-2x6", rating_w) == rating_w
    assert aux_power.SENSE_RATINGS_W == (150, 300, 450, 600)


def test_sense_levels() -> None:
    """CEM 5.1 from memory; with both left open CEM 5.0 differs."""
    sustained = {
        (row.sense0_grounded, row.sense1_grounded): (row.initial_w, row.sustained_w)
        for row in aux_power.SENSE_LEVELS
    }
    assert sustained == {
        (True, True): (375, 600),
        (False, True): (225, 450),
        (True, False): (150, 300),
        (False, False): (0, 0),
    }
    old = aux_power.OLD_BOTH_OPEN
    assert (old.sense0_grounded, old.sense1_grounded) == (False, False)
    assert (old.initial_w, old.sustained_w) == (100, 150)
    assert aux_power.SHORTED_TOGETHER_W == 150


def test_plugs_that_were_not_made_for_cards() -> None:
    """Contacts, and watts at 12 V from contact ratings: 4 x 7 A, 11 A, 3 x 1.5 A (from memory)."""
    table = {
        name: (row.contacts, row.power_w)
        for name, row in aux_power.PLUGS.items()
        if name in {"eps-8", "molex-4", "sata-power"}
    }
    assert table == {
        "eps-8": (8, 4 * 7 * 12),
        "molex-4": (4, 11 * 12),
        "sata-power": (15, 3 * 1.5 * 12),
    }


def test_a_sata_plug_cannot_stand_in_for_a_card_plug() -> None:
    """54 W (from memory) against 75 W: why such adapters burn."""
    assert aux_power.PLUGS["sata-power"].power_w < aux_power.PLUGS["pcie-6"].power_w


def test_two_plugs_and_the_slot() -> None:
    """375 W, as quoted."""
    assert 2 * aux_power.PLUGS["pcie-8"].power_w + 75 == aux_power.TWO_PLUGS_AND_SLOT_W == 375
