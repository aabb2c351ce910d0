"""
Which half of a connector an end is.

A cable's ends are free, those of cards, boards, drives and backplanes are fixed. Of the connectors
of cables the free half is the plug; of SATA it is the socket. Everything else is a plug on the part
and a socket on what takes it. Sources: standards/forms.py.
"""

from slotfit.model.part import PartSpec
from slotfit.model.problem import Part, Problem, Receptacle
from slotfit.model.words import Gender
from slotfit.standards.forms import CABLED


def is_free(spec: PartSpec) -> bool | None:
    """Whether its plugs are at the end of a cable that it brings; None if nobody has said."""
    if spec.part_class == "cable" or spec.reach_mm is not None:
        return True
    if (
        spec.part_class in ("backplane", "port-multiplier", "sas-expander")
        or spec.wiring != "passive"
    ):
        return False
    return None


def half(form: str, free: bool | None) -> Gender | None:
    """What a free or a fixed end of the form is; None if it is not known which."""
    if free is None:
        return None
    return "plug" if free == (form in CABLED) else "socket"


def plug_half(part: Part) -> Gender | None:
    """What the part's plug is; on a part that brings no cable a second one is a socket."""
    spec = part.spec
    if spec.plug.gender or (spec.plug.form not in CABLED and spec.plug.form != "sata"):
        return spec.plug.gender or "plug"
    free = is_free(spec)
    is_fixed = part.companion_of or spec.plug.form == "sata"
    return half(spec.plug.form, False if free is None and is_fixed else free)


def socket_half(problem: Problem, receptacle: Receptacle) -> Gender | None:
    """What the receptacle is; None if what it is on may be a cable."""
    spec = receptacle.spec
    if spec.gender or (spec.form not in CABLED and spec.form != "sata"):
        return spec.gender or "socket"
    if receptacle.on_board:
        return half(spec.form, free=False)
    owner = problem.part[receptacle.owner].spec
    if owner.part_class == "other" and owner.wiring == "passive" and owner.reach_mm is None:
        return half(spec.form, None)
    return half(spec.form, owner.part_class in ("cable", "other") and owner.wiring == "passive")
