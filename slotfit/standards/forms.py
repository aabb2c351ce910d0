"""
The forms of receptacles and plugs: what each can carry, and which plug goes into which.

A receptacle of a board carries what its maker wired, never more than its form's row says.
"""

from typing import NamedTuple

from slotfit.standards.cages import CAGES
from slotfit.standards.source import (
    AS_QUOTED,
    COMMON_PRACTICE,
    FROM_MEMORY,
    OWN_WORD,
    WORKED_OUT,
    Source,
)


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
_SAS_KEY = Source("SFF-8482", "connector key", FROM_MEMORY)
_OCP = Source("OCP NIC 3.0", "card and slot pairs", FROM_MEMORY)
_EDGE = Source("SFF-TA-1006, -1007, -1008", "bay sizes", FROM_MEMORY)
_PINS = Source("SFF-8654, SFF-TA-1016", "contact counts", WORKED_OUT)
_OPEN = Source("", "a bracket alone needs only the opening", COMMON_PRACTICE)
_AWAY = Source("", "cards with a plug beside the edge, screwed to a wall", COMMON_PRACTICE)

_YES = (
    Fit("m2-bm", "m2-m", True, "its B and M notches clear key M", _M2),
    Fit("m2-bm", "m2-b", True, "its B and M notches clear key B", _M2),
    Fit("m2-ae", "m2-a", True, "its A and E notches clear key A", _M2),
    Fit("m2-ae", "m2-e", True, "its A and E notches clear key E", _M2),
    Fit("u3", "u2", True, "a U.3 drive is made to work in a U.2 bay", _BAYS),
    Fit("sata", "sas", True, "a SAS connector takes a SATA drive", _SAS_KEY),
    Fit("sata", "u2", True, "the bay has lanes for SATA beside those for PCIe", _BAYS_MEMORY),
    Fit("sas", "u2", True, "the bay has lanes for SAS beside those for PCIe", _BAYS_MEMORY),
    Fit("u2", "u2-u3", True, "the bay is wired for U.2 and for U.3 drives", _BAYS),
    Fit("u3", "u2-u3", True, "the bay is wired for U.2 and for U.3 drives", _BAYS),
    Fit("sata", "u2-u3", True, "the bay's lanes serve SATA, SAS and PCIe", _BAYS),
    Fit("sas", "u2-u3", True, "the bay's lanes serve SATA, SAS and PCIe", _BAYS),
    Fit("sata", "u3", True, "the bay's lanes serve SATA, SAS and PCIe", _BAYS),
    Fit("sas", "u3", True, "the bay's lanes serve SATA, SAS and PCIe", _BAYS),
    Fit("ocp3-sff", "ocp3-lff", True, "a large slot takes a small card with a guide", _OCP),
    Fit("opening", "cem", True, "a bracket alone can cover the opening of a slot", _OPEN),
    Fit("cem", "mounting-place", True, "what plugs feed needs no slot", _AWAY),
    Fit("opening", "mounting-place", True, "what plugs feed needs no opening", _AWAY),
)

_NO = (
    Fit("sas", "sata", False, "the key of a SAS drive is closed by a SATA connector", _SAS_KEY),
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


CABLES = Source("", "gallery of server connectors", AS_QUOTED)
CABLE_BRIEF = Source("", "cable maker's brief on generations", AS_QUOTED)
M2 = Source("PCI Express M.2", "keys", AS_QUOTED)
OURS = Source("", "", OWN_WORD)


class Form(NamedTuple):
    """
    One form: the widths it is made in, the buses it can carry, its practical newest generation.

    `lanes` counts high-speed lanes of any bus, one entry a width the form is made in; empty means
    none. `max_generation` is None where no limit is stated, or where there is no PCIe.
    """

    name: str
    title: str
    lanes: tuple[int, ...]
    buses: tuple[str, ...]
    max_generation: int | None
    source: Source
    note: str = ""

    @property
    def max_lanes(self) -> int:
        """Widest this form is made; 0 if it carries no lanes."""
        return max(self.lanes, default=0)


_PCIE = ("pcie",)
_SAS = ("sas", "sata")
_ALL = ("pcie", "sas", "sata")

_ROWS = (
    Form(
        "cem", "card edge slot", (1, 4, 8, 16), _PCIE, None, Source("CEM", "connectors", AS_QUOTED)
    ),
    Form("m2-m", "M.2 socket, key M", (4,), ("pcie", "sata"), 5, M2, "wired for one bus or both"),
    Form("m2-b", "M.2 socket, key B", (2,), ("pcie", "sata", "usb"), 5, M2),
    Form("m2-e", "M.2 socket, key E", (2,), ("pcie", "usb"), 5, M2, "two links of one lane"),
    Form("m2-a", "M.2 socket, key A", (2,), ("pcie", "usb"), 5, M2, "two links of one lane"),
    Form(
        "u2",
        "2.5-inch bay SFF-8639",
        (4,),
        _ALL,
        5,
        Source("SFF-8639", "", AS_QUOTED),
        "PCIe lanes and SAS/SATA lanes are separate; a bay may be wired for one kind only",
    ),
    Form(
        "u3",
        "2.5-inch bay SFF-TA-1001",
        (4,),
        _ALL,
        5,
        Source("SFF-TA-1001", "the connector of SFF-8639; drives of generation 5", FROM_MEMORY),
        "one set of lanes for PCIe, SAS and SATA",
    ),
    Form(
        "u2-u3",
        "2.5-inch bay for U.2 and U.3 drives",
        (4,),
        _ALL,
        5,
        Source("SFF-8639, SFF-TA-1001", "", FROM_MEMORY),
        "a bay of which its maker says that it takes both",
    ),
    Form("e1s", "E1.S bay", (4, 8), _PCIE, None, Source("SFF-TA-1006", "1C, 2C", FROM_MEMORY)),
    Form("e1l", "E1.L bay", (4, 8), _PCIE, None, Source("SFF-TA-1007", "1C, 2C", FROM_MEMORY)),
    Form("e3s", "E3.S bay", (4, 8, 16), _PCIE, None, Source("SFF-TA-1008", "", FROM_MEMORY)),
    Form("e3l", "E3.L bay", (4, 8, 16), _PCIE, None, Source("SFF-TA-1008", "", FROM_MEMORY)),
    Form(
        "ocp3-sff",
        "OCP NIC 3.0 small slot",
        (16,),
        _PCIE,
        5,
        Source("OCP NIC 3.0", "4C+", AS_QUOTED),
    ),
    Form(
        "ocp3-lff",
        "OCP NIC 3.0 large slot",
        (32,),
        _PCIE,
        5,
        Source("OCP NIC 3.0", "4C+ and 4C", AS_QUOTED),
    ),
    Form(
        "oculink-4",
        "OCuLink SFF-8611",
        (4,),
        ("pcie", "sata"),
        4,
        CABLE_BRIEF,
        "generation 3 to 4; 5 is emerging",
    ),
    Form(
        "slimsas-4",
        "SlimSAS SFF-8654, 38 contacts",
        (4,),
        _ALL,
        4,
        CABLE_BRIEF,
        "generation 5 with care; makers differ on contacts beside the lanes",
    ),
    Form(
        "slimsas-8",
        "SlimSAS SFF-8654, 74 contacts",
        (8,),
        _ALL,
        4,
        CABLE_BRIEF,
        "generation 5 with care; sources disagree",
    ),
    Form("mcio-4", "MCIO SFF-TA-1016, 38 contacts", (4,), ("pcie", "sata"), 5, CABLE_BRIEF),
    Form("mcio-8", "MCIO SFF-TA-1016, 74 contacts", (8,), ("pcie", "sata"), 5, CABLE_BRIEF),
    Form("mcio-16", "MCIO SFF-TA-1016, 124 contacts", (16,), _PCIE, 5, CABLE_BRIEF),
    Form("sff-8643", "Mini-SAS HD, internal", (4,), _ALL, 3, CABLES, "SAS up to 12 Gb/s"),
    Form("sff-8644", "Mini-SAS HD, external", (4,), _ALL, 3, CABLES, "SAS up to 12 Gb/s"),
    Form("sff-8087", "Mini-SAS, internal", (4,), _SAS, None, CABLES, "SAS up to 6 Gb/s"),
    Form("sff-8088", "Mini-SAS, external", (4,), _SAS, None, CABLES, "SAS up to 6 Gb/s"),
    Form("sata", "SATA connector", (1,), ("sata",), None, Source("Serial ATA 3", "", FROM_MEMORY)),
    Form(
        "sas",
        "drive connector SFF-8482",
        (2,),
        _SAS,
        None,
        Source("SFF-8482", "", FROM_MEMORY),
        "two ports; most host adapters use one",
    ),
    Form("usb-header", "USB header", (), ("usb",), None, Source("", "", COMMON_PRACTICE)),
    Form("cooling-mount", "place for an air mover on a part", (), (), None, OURS),
    Form("fan-header", "header for a fan", (), (), None, Source("", "", COMMON_PRACTICE)),
    Form("opening", "bracket opening without a connector", (), (), None, OURS),
    Form("mounting-place", "place for a part that needs no slot", (), (), None, OURS),
    Form("12v-2x6", "12V-2x6 power socket of a part", (), (), None, OURS),
    Form("eps-8", "EPS power socket of a part", (), (), None, OURS),
    Form("sata-power", "SATA power socket of a part", (), (), None, OURS),
    Form("molex-4", "Molex power socket of a part", (), (), None, OURS),
)

FORMS: dict[str, Form] = {row.name: row for row in _ROWS}
"""Every receptacle form by name; also the plug forms of the same name."""

POWER_SOCKETS = ("12v-2x6", "eps-8", "sata-power", "molex-4")
"""Sockets of a part into which a power adapter or splitter of the build may go."""

PLUG_ONLY: dict[str, Form] = {
    row.name: row
    for row in (
        Form("m2-bm", "M.2 module, notches B and M", (2,), ("pcie", "sata"), 5, M2),
        Form("m2-ae", "M.2 module, notches A and E", (2,), ("pcie", "usb"), 5, M2),
        *(
            Form(cage.name, f"module or cable for the {cage.title}", (), (), None, cage.source)
            for cage in CAGES.values()
        ),
    )
}
"""Plugs that no receptacle shares its name with."""

PLUG_FORMS: dict[str, Form] = {**FORMS, **PLUG_ONLY}


CABLED = (
    "sff-8643",
    "sff-8644",
    "sff-8087",
    "sff-8088",
    "slimsas-4",
    "slimsas-8",
    "mcio-4",
    "mcio-8",
    "mcio-16",
    "oculink-4",
)
"""
Forms whose plug is the end of a cable; on a card, board or backplane they are sockets.

SFF-8643, -8644, -8086, -8088, -8611, -8654 and SFF-TA-1016 call the one the free and the other the
fixed connector (from memory). Of SATA the free one is the socket, and hosts, drives and backplanes
have the plug (Serial ATA 3, from memory).
"""

WITHOUT_LANES = tuple(row.name for row in _ROWS if not row.buses)
"""Receptacles that hold or feed a part, and have nothing to be seen through."""

LANES_APART = ("m2-a", "m2-e")
"""Forms each of whose lanes is a link of its own (M2); many sockets are wired for the first."""


class UnknownFormError(KeyError):
    """A form that is in no table; `known` lists those that are."""

    def __init__(self, form: str, known: tuple[str, ...]) -> None:
        super().__init__(form)
        self.form = form
        self.known = known

    def __str__(self) -> str:
        return f"{self.form!r} is no form; write one of: {', '.join(self.known)}"


def fit_of(plug_form: str, receptacle_form: str) -> Fit:
    """
    The verdict on a pair, with its reason. UnknownFormError for a form in no table.

    Says nothing of how wide or long a card is, or of what a board's maker has wired.
    """
    for form, known in ((plug_form, PLUG_FORMS), (receptacle_form, FORMS)):
        if form not in known:
            raise UnknownFormError(form, tuple(known))
    if (plug_form, receptacle_form) in PAIRS:
        return PAIRS[plug_form, receptacle_form]
    plug, receptacle = PLUG_FORMS[plug_form], FORMS[receptacle_form]
    if plug_form == receptacle_form:
        return Fit(plug_form, plug_form, True, "plug and receptacle are of one form", plug.source)
    reason = f"a {plug_form} plug is not made for a {receptacle_form} receptacle"
    return Fit(plug_form, receptacle_form, False, reason, receptacle.source)


def plug_fits(plug_form: str, receptacle_form: str) -> bool:
    """
    Whether a plug of one form goes into a receptacle of another and works there.

    >>> plug_fits("u3", "u2"), plug_fits("u2", "u3")
    (True, False)
    """
    return fit_of(plug_form, receptacle_form).fits


SIZE_TABLE = Source("PCI Express M.2 (through a drive manual)", "module sizes", AS_QUOTED)

LENGTHS_MM = (16, 26, 30, 38, 42, 60, 80, 110)
"""SIZE_TABLE."""

SUPPLY_V = 3.3
CONTACT_CURRENT_A = 0.5
POWER_CONTACTS: dict[str, int] = {"m2-m": 9, "m2-b": 5, "m2-e": 4}
"""Contacts at 3.3 V of each key; of key A nobody has told."""
POWER_CONTACTS_SOURCE = Source("PCI Express M.2", "pinouts of keys M, B and E", FROM_MEMORY)


def power_contacts_limit_w(form: str) -> float:
    """
    What a socket's power contacts may carry, in watts: contacts x current x volts.

    >>> power_contacts_limit_w("m2-m"), power_contacts_limit_w("m2-b")
    (14.85, 8.25)
    """
    return round(POWER_CONTACTS[form] * CONTACT_CURRENT_A * SUPPLY_V, 2)
