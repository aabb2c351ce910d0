"""M.2 lengths and power, against the tables of a drive manual that quotes the standard."""

import pytest

from slotfit.standards import forms
from slotfit.standards.power import promised_w


def test_lengths_are_the_standards() -> None:
    """PCI Express M.2 through a drive manual."""
    assert forms.LENGTHS_MM == (16, 26, 30, 38, 42, 60, 80, 110)


def test_contacts_carry_a_generation_5_drive() -> None:
    """Nine contacts of key M at 0.5 A and 3.3 V, five of key B, four of key E (all from memory)."""
    found = {form: forms.power_contacts_limit_w(form) for form in forms.POWER_CONTACTS}
    assert found == pytest.approx({"m2-m": 14.85, "m2-b": 8.25, "m2-e": 6.6})


def test_a_socket_promises_what_its_contacts_carry() -> None:
    """A drive of 11 to 14 W (from memory) is as sure of its key M socket as one of 8.25 W."""
    for form in forms.POWER_CONTACTS:
        assert promised_w(form) == forms.power_contacts_limit_w(form)
