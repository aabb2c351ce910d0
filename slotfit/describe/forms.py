"""From the words of tables and names to the forms of descriptions."""

from __future__ import annotations

from slotfit.describe.told import Told, assumed
from slotfit.read.merge.machine import PartSeen, ReceptacleSeen
from slotfit.standards import pci_regs as regs
from slotfit.standards.cem import CONNECTOR_LANES
from slotfit.standards.forms import FORMS

_SAME = ("cem", "m2-a", "m2-b", "m2-e", "m2-m", "u2", "ocp3-sff", "ocp3-lff")
_BY_WIDTH = {
    "mcio": ("mcio-4", "mcio-8", "mcio-16"),
    "slimsas": ("slimsas-4", "slimsas-8"),
    "oculink": ("oculink-4",),
}
_LIKELIEST = {
    "edsff-e1": ("e1s", "the code means E1.S and E1.L alike"),
    "edsff-e3": ("e3s", "the code means E3.S and E3.L alike"),
    "bay": ("u2", "a place for a drive; which connector it has, nothing says"),
    "cxl": ("cem", "such a slot has the connector of a card edge slot"),
}
_SAYS_NOTHING = (None, "unknown", "other", "proprietary")


def form_of(
    seen: ReceptacleSeen, lanes: int | None, parts: tuple[PartSeen, ...]
) -> Told[str] | None:
    """
    The form to write, without a basis where the receptacle's own word is taken.

    None for a form that slotfit does not describe (older buses, soldered modules).
    """
    said = seen.form
    if said in _SAME:
        return Told(str(said), "")
    if said in _BY_WIDTH:
        return _by_width(_BY_WIDTH[str(said)], lanes)
    if said in _LIKELIEST:
        return assumed(*_LIKELIEST[str(said)])
    if said in _SAYS_NOTHING and (seen.ports or parts or lanes):
        return _by_content(lanes, parts)
    return None


def _by_width(forms: tuple[str, ...], lanes: int | None) -> Told[str]:
    """The smallest connector of its family that carries the lanes."""
    if lanes is None:
        return assumed(forms[0], "the width is not said, and it decides")
    room = (form for form in forms if FORMS[form].max_lanes >= lanes)
    return Told(next(room, forms[-1]), "")


def _by_content(lanes: int | None, parts: tuple[PartSeen, ...]) -> Told[str]:
    drive = bool(parts) and all(part.main.class_code == regs.CLASS_NVME for part in parts)
    narrow = max(_lanes_of(parts), default=lanes or 0) <= FORMS["m2-m"].max_lanes
    if drive and narrow and len(parts) == 1 and (lanes or 0) <= FORMS["m2-m"].max_lanes:
        return assumed("m2-m", "nothing names the connector; a drive of four lanes sits in it")
    return assumed("cem", "nothing names the connector")


def _lanes_of(parts: tuple[PartSeen, ...]) -> list[int]:
    return [part.top.link.lanes_max or 0 for part in parts if part.top.link]


def connector_for(lanes: int) -> int:
    """The smallest card edge connector with so many lanes; the largest if none has."""
    return next((size for size in CONNECTOR_LANES if size >= lanes), CONNECTOR_LANES[-1])


def room_of(form: str) -> int:
    """Lanes a receptacle of the form can have at most."""
    return FORMS[form].max_lanes
