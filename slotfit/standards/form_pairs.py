"""Pairs of plug and receptacle of unlike forms: which fit, and why the others do not."""

from typing import NamedTuple

from slotfit.standards.source import AS_QUOTED, COMMON_PRACTICE, FROM_MEMORY, WORKED_OUT, Source


class Fit(NamedTuple):
    """
    A verdict on one pair. `reason` is a clause that fits after "because"; `source` says whence.

    No pair makes a link narrower than the plug's own form does.
    """

    plug: str
    receptacle: str
    fits: bool
    reason: str
    source: Source


_M2 = Source("PCI Express M.2", "keys and notches", AS_QUOTED)
_BAYS = Source("SFF-8639, SFF-TA-1001", "bay and drive pairs", AS_QUOTED)
_BAYS_MEMORY = Source("SFF-8639, SFF-TA-1001", "bay and drive pairs", FROM_MEMORY)
_SAS = Source("SFF-8482", "connector key", FROM_MEMORY)
_OCP = Source("OCP NIC 3.0", "card and slot pairs", FROM_MEMORY)
_EDGE = Source("SFF-TA-1006, -1007, -1008", "bay sizes", FROM_MEMORY)
_PINS = Source("SFF-8654, SFF-TA-1016", "contact counts", WORKED_OUT)
_OPEN = Source("", "a bracket alone needs only the opening", COMMON_PRACTICE)

_YES = (
    Fit("m2-bm", "m2-m", True, "its B and M notches clear key M", _M2),
    Fit("m2-bm", "m2-b", True, "its B and M notches clear key B", _M2),
    Fit("m2-ae", "m2-a", True, "its A and E notches clear key A", _M2),
    Fit("m2-ae", "m2-e", True, "its A and E notches clear key E", _M2),
    Fit("u3", "u2", True, "a U.3 drive is made to work in a U.2 bay", _BAYS),
    Fit("sata", "sas", True, "a SAS connector takes a SATA drive", _SAS),
    Fit("sata", "u2", True, "the bay has lanes for SATA beside those for PCIe", _BAYS_MEMORY),
    Fit("sas", "u2", True, "the bay has lanes for SAS beside those for PCIe", _BAYS_MEMORY),
    Fit("sata", "u3", True, "the bay's lanes serve SATA, SAS and PCIe", _BAYS),
    Fit("sas", "u3", True, "the bay's lanes serve SATA, SAS and PCIe", _BAYS),
    Fit("ocp3-sff", "ocp3-lff", True, "a large slot takes a small card with a guide", _OCP),
    Fit("opening", "cem", True, "a bracket alone can cover the opening of a slot", _OPEN),
)

_NO = (
    Fit("sas", "sata", False, "the key of a SAS drive is closed by a SATA connector", _SAS),
    Fit("u2", "u3", False, "a U.2 drive finds no PCIe lanes in a bay made for U.3 only", _BAYS),
    Fit("u2", "sas", False, "a SAS bay has no PCIe lanes", _BAYS_MEMORY),
    Fit("u3", "sas", False, "a SAS bay has no PCIe lanes", _BAYS_MEMORY),
    Fit("u2", "sata", False, "a SATA connector has no PCIe lanes", _BAYS_MEMORY),
    Fit("u3", "sata", False, "a SATA connector has no PCIe lanes", _BAYS_MEMORY),
    Fit("m2-m", "m2-b", False, "key B stands where the module has contacts", _M2),
    Fit("m2-b", "m2-m", False, "key M stands where the module has contacts", _M2),
    Fit("m2-bm", "m2-e", False, "key E stands where the module has contacts", _M2),
    Fit("m2-bm", "m2-a", False, "key A stands where the module has contacts", _M2),
    Fit("ocp3-lff", "ocp3-sff", False, "a large card is wider than a small slot", _OCP),
    Fit("e1s", "e1l", False, "an E1.L bay is made for another length and latch", _EDGE),
    Fit("e1l", "e1s", False, "an E1.L drive is longer than an E1.S bay", _EDGE),
    Fit("e3s", "e3l", False, "an E3.L bay is made for another length and latch", _EDGE),
    Fit("e3l", "e3s", False, "an E3.L drive is longer than an E3.S bay", _EDGE),
    Fit("slimsas-4", "mcio-4", False, "they share a contact count, not a shape", _PINS),
    Fit("mcio-4", "slimsas-4", False, "they share a contact count, not a shape", _PINS),
    Fit("slimsas-8", "mcio-8", False, "they share a contact count, not a shape", _PINS),
    Fit("mcio-8", "slimsas-8", False, "they share a contact count, not a shape", _PINS),
)

PAIRS: dict[tuple[str, str], Fit] = {(row.plug, row.receptacle): row for row in (*_YES, *_NO)}
"""What is known of pairs of unlike forms; those not listed do not fit."""
