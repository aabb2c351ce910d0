"""M.2 lengths and power, against the tables of a drive manual that quotes the standard."""

import pytest

from slotfit.standards import forms


def test_lengths_are_the_standards() -> None:
    """PCI Express M.2 through a drive manual."""
    assert forms.LENGTHS_MM == (16, 26, 30, 38, 42, 60, 80, 110)


def test_contacts_carry_a_generation_5_drive() -> None:
    """Nine contacts of 0.5 A at 3.3 V, against 11 to 14 W (both from memory)."""
    assert forms.power_contacts_limit_w() == pytest.approx(14.85)


def test_a_drive_of_the_usual_size() -> None:
    """8.25 W at 3.3 V for a 2280: from memory."""
    assert forms.DRIVE_POWER_W == 8.25
