"""Card sizes, connectors and slot power, against measured outlines and quoted tables."""

import pytest

from slotfit.standards import cem


@pytest.mark.parametrize(
    ("lanes", "contacts", "tab_mm", "housing_mm"),
    # Open drawing of card outlines, measured; housings as quoted.
    [(1, 18, 20.30, 25), (4, 32, 34.30, 39), (8, 49, 51.30, 56), (16, 82, 84.30, 89)],
)
def test_connectors(lanes: int, contacts: int, tab_mm: float, housing_mm: float) -> None:
    row = cem.CONNECTORS[lanes]
    assert (row.contacts_a_side, row.tab_mm, row.housing_mm) == (contacts, tab_mm, housing_mm)
    assert row.housing_mm == contacts + 7


def test_there_is_no_connector_of_two_lanes() -> None:
    """CEM, as quoted: "Standard mechanical sizes are x1, x4, x8, and x16"."""
    assert cem.CONNECTOR_LANES == (1, 4, 8, 16)


def test_sizes_are_pci_express_not_parallel_pci() -> None:
    """Open drawing of card outlines, measured; the older bus had 106.68 and 64.41."""
    assert (cem.FULL_HEIGHT_MM, cem.LOW_PROFILE_HEIGHT_MM) == (111.15, 68.90)
    assert (cem.FULL_LENGTH_MM, cem.HALF_LENGTH_MM) == (312.00, 167.65)
    assert cem.LOW_PROFILE_LENGTH_MM == 167.65


@pytest.mark.parametrize(
    ("width", "low_profile", "graphics", "power_w"),
    # CEM 1.1 pp. 35-36, as quoted: what a configured card may draw.
    [
        (1, True, False, 10),
        (1, False, False, 25),
        (4, True, False, 25),
        (4, False, True, 25),
        (8, False, False, 25),
        (16, True, True, 25),
        (16, False, False, 25),
        (16, False, True, 75),
    ],
)
def test_slot_power(width: int, low_profile: bool, graphics: bool, power_w: float) -> None:
    assert cem.slot_power_limit_w(width, low_profile, graphics) == power_w


def test_slot_power_needs_a_connector_that_exists() -> None:
    with pytest.raises(KeyError):
        cem.slot_power_limit_w(2, low_profile=False, graphics=False)


def test_the_card_cap_lies_below_the_sum_of_its_rails() -> None:
    """CEM 1.1, as quoted: 9.9 W at 3.3 V and 66, 6 or 25.2 W at 12 V."""
    assert cem.slot_power_limit_w(16, low_profile=False, graphics=True) < 9.9 + 66
    assert cem.slot_power_limit_w(1, low_profile=True, graphics=False) < 9.9 + 6
    assert cem.slot_power_limit_w(8, low_profile=False, graphics=False) < 9.9 + 25.2


@pytest.mark.parametrize(
    ("card", "slot", "open_ended", "enters"),
    # A shorter card always enters; a longer one only over an open end (as quoted in a textbook).
    [
        (1, 16, False, True),
        (8, 8, False, True),
        (16, 8, False, False),
        (16, 8, True, True),
        (16, 8, None, None),
        (8, 8, None, True),
    ],
)
def test_card_enters(card: int, slot: int, open_ended: bool | None, enters: bool | None) -> None:
    assert cem.card_enters(card, slot, open_ended) is enters


def test_pitch_is_what_a_table_of_2032_means() -> None:
    """DSP0134 counts slot pitch in hundredths of a millimetre; 2032 prints as 20.32 mm."""
    assert round(cem.PITCH_MM * 100) == 2032
