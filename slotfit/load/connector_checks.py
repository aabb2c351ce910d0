"""Receptacles of a form that only plugs have."""

from __future__ import annotations

from slotfit.load.complaints import Complaints
from slotfit.load.hints import listed
from slotfit.model.part import Receptacle
from slotfit.standards.form_pairs import PAIRS
from slotfit.standards.forms import FORMS


def check_form(receptacle: Receptacle, found: Complaints) -> None:
    """A receptacle of a form that receptacles are made in."""
    if receptacle.form not in FORMS:
        takers = [
            pair for (plug, pair), row in PAIRS.items() if plug == receptacle.form and row.fits
        ]
        text = f"only modules are {receptacle.form}; write the socket's key: {listed(takers)}"
        found.add(receptacle, "form", text)
