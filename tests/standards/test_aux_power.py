"""Power plugs, against ATX design guide 336521 and what CEM says of sense contacts."""

import pytest

from slotfit.standards import power

PLUGS = list(power.PLUGS)


@pytest.mark.parametrize(
    ("plug", "watts", "amperes"),
    # ATX version 3 design guide 336521, Table 3-5: sustained watts and most amperes.
    [("pcie-6", 75, 6.75), ("pcie-8", 150, 13.5), ("12v-2x6", 600, 55)],
)
def test_card_plugs(plug: str, watts: int, amperes: float) -> None:
    assert power.PLUGS[plug].power_w == watts
    assert watts <= amperes * 12


def test_contacts_of_card_plugs() -> None:
    """2x3, 2x4 and 12+4: ATX version 3 design guide 336521."""
    contacts = [power.PLUGS[plug].contacts for plug in ("pcie-6", "pcie-8", "12v-2x6")]
    assert contacts == [2 * 3, 2 * 4, 12 + 4]


def test_only_these_pairs_mate() -> None:
    """
    Watts through each plug in each socket.

    A 6-contact plug in an 8-contact socket leaves Sense1 open: 75 W (CEM, as quoted). A 6+2 plug
    with the 2 left off is a 6-contact plug (common practice). EPS and PCIe have their 12 V and
    ground sides swapped and never meet (CEM and EPS12V, from memory).
    """
    table = {(row.plug, row.socket): row.power_w for row in power.MATINGS}
    same = {(plug, plug): power.PLUGS[plug].power_w for plug in PLUGS}
    assert table == same | {("pcie-6", "pcie-8"): 75, ("pcie-8", "pcie-6"): 75}
    assert len(power.MATINGS) == len(table)


def test_ratings_of_a_12v_2x6_plug() -> None:
    """ATX guide 336521, SENSE0 and SENSE1: four levels, told by the cable."""
    assert power.SENSE_RATINGS_W == (150, 300, 450, 600)
    assert max(power.SENSE_RATINGS_W) == power.PLUGS["12v-2x6"].power_w


def test_plugs_that_were_not_made_for_cards() -> None:
    """Contacts, and watts at 12 V from contact ratings: 4 x 7 A, 11 A, 3 x 1.5 A (from memory)."""
    table = {
        name: (row.contacts, row.power_w)
        for name, row in power.PLUGS.items()
        if name in {"eps-8", "molex-4", "sata-power"}
    }
    assert table == {
        "eps-8": (8, 4 * 7 * 12),
        "molex-4": (4, 11 * 12),
        "sata-power": (15, 3 * 1.5 * 12),
    }


def test_a_sata_plug_cannot_stand_in_for_a_card_plug() -> None:
    """54 W (from memory) against 75 W: why such adapters burn."""
    assert power.PLUGS["sata-power"].power_w < power.PLUGS["pcie-6"].power_w
