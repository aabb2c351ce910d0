"""Anything that plugs in: card, carrier, riser, adapter, drive, cable, air mover."""

import re
from typing import Annotated, Any, Literal

from annotated_types import Interval, MinLen
from pydantic import BeforeValidator, Discriminator, Field, StringConstraints, Tag

from slotfit.model.entity import Entity
from slotfit.model.ports import Metres, Port, number_or_list
from slotfit.model.words import (
    AirSpeed,
    AirSpeedOfClass,
    AuxPlug,
    Bay,
    Bracket,
    Bus,
    Celsius,
    Cooling,
    Decibels,
    Direction,
    FirmwareMode,
    FirmwareNeed,
    Form,
    Gender,
    Generation,
    GigabytesPerSecond,
    Id,
    Lanes,
    Line,
    Medium,
    Millimetres,
    MillimetresOfClass,
    PartClass,
    Pins,
    Rail,
    Rpm,
    Voltage,
    Watts,
    WattsOfClass,
    Wiring,
)
from slotfit.standards.power import COOL_W

PLUG = re.compile(r"^([a-z0-9-]+?)(?:\s+x(\d{1,9}))?$")
LINKS = re.compile(r"^(?:(\d{1,2})x(\d{1,9})|x(\d{1,9}(?:x\d{1,9})*))$")


def read_plug(written: Any) -> Any:
    """`cem x8` is short for `{form: cem, width: 8}`."""
    found = PLUG.match(written) if isinstance(written, str) else None
    if not found:
        return written
    form, width = found.groups()
    return {"form": form} | ({"width": int(width)} if width else {})


def widths(written: str) -> tuple[int, ...] | None:
    """
    The segment widths a short form names, in lane order; None if it is not one.

    >>> widths("x8x4x4"), widths("4x4"), widths("x16"), widths("wide")
    ((8, 4, 4), (4, 4, 4, 4), (16,), None)
    """
    found = LINKS.match(written)
    if not found:
        return None
    count, each, listed = found.groups()
    if listed:
        return tuple(int(lanes) for lanes in listed.split("x"))
    return (int(each),) * int(count)


def read_links(written: Any) -> Any:
    """`x8` is one link of eight lanes, `4x4` four links of four, `x8x8` two of eight."""
    parsed = widths(written) if isinstance(written, str) else None
    if parsed is None:
        return written
    starts = [sum(parsed[:number]) for number in range(len(parsed))]
    return tuple({"at": at, "lanes": lanes} for at, lanes in zip(starts, parsed, strict=True))


def read_demand(written: Any) -> Any:
    """One number is the demand in either direction."""
    if isinstance(written, int | float) and not isinstance(written, bool):
        return {"in_gb_s": written, "out_gb_s": written}
    return written


PciNumber = Annotated[
    str,
    StringConstraints(
        pattern=r"^[0-9a-f]{4}:[0-9a-f]{4}(/[0-9a-f]{4}:[0-9a-f]{4})?$", max_length=19
    ),
    Field(examples=["1234:5678"]),
]
"""Vendor and device number of a PCI function in hexadecimal, the subsystem's after a slash."""


Ports = Annotated[
    Annotated[int, Interval(ge=0, le=64), Tag("number")] | Annotated[tuple[Port, ...], Tag("list")],
    Discriminator(number_or_list),
]
"""How many there are, or each network port."""


class Loss(Entity):
    """What a signal loses on the way through, in dB."""

    gen4: Decibels | None = None
    """At 8 GHz, for links of generation 4; left out: not known."""
    gen5: Decibels | None = None
    """At 16 GHz, for links of generation 5; left out: not known."""

    def at(self, generation: int) -> float | None:
        """For links of the generation; None if nobody has said."""
        return {4: self.gen4, 5: self.gen5}.get(generation)


class Plug(Entity):
    """The part's own connector."""

    form: Form
    width: Lanes | None = None
    """Connector size of the card edge in lanes (x1, x4, x8, x16); for other forms left out."""
    gender: Gender | None = None
    """Left out: what is at the end of a cable is a plug, and what is on a card or a backplane a
    socket. Of SATA it is the other way round."""


class Link(Entity):
    """A run of the plug's lanes that leads to one endpoint, switch, or own receptacle."""

    at: Annotated[int, Interval(ge=0, le=31)] = 0
    """First lane, counted from lane 0 of the plug."""
    lanes: Lanes
    """How many lanes it has at most."""
    generation: Generation | None = None
    """Highest generation of this link; left out, the part's `generation`."""
    bus: Bus = "pcie"
    to: tuple[Id, ...] = ()
    """Own receptacles these lanes are wired to (passive parts)."""


class Demand(Entity):
    """What the part moves when it works, in gigabytes per second."""

    in_gb_s: GigabytesPerSecond = 0
    """Towards the part (writes to a drive, sending on a network)."""
    out_gb_s: GigabytesPerSecond = 0
    """From the part (reads from a drive, receiving from a network)."""


class ReceptacleSpec(Entity):
    """Anything that takes a part: what is true of it wherever it sits."""

    id: Id
    label: Line | None = None
    """The name printed beside it."""
    form: Form
    gender: Gender | None = None
    """Left out: the far end of a cable is a plug, which only a socket takes, and anything else is a
    socket. Of SATA it is the other way round. An extension cable ends in a `socket`."""
    width: Lanes | None = None
    """Connector size in lanes; for `cem` the physical length of the slot."""
    open_end: bool | None = None
    """A slot without an end wall: a longer card may hang over; left out: not known."""
    behind_mm: Millimetres | None = None
    """Clear length behind an open end before something stands in the way."""
    row: Id | None = None
    """Row of slots it stands in; left out: in none, or not known."""
    position: Annotated[int, Interval(ge=0, le=63)] = 0
    """Place in the row, in slot pitches; numbers grow the way a thick card grows."""
    power_w: Watts | None = None
    """What the receptacle can supply, all rails together."""
    length_mm: Millimetres | None = None
    """Room for the card's length."""
    height_mm: Millimetres | None = None
    """Room for the card's height."""
    bracket: Literal["full", "low", "none"] | None = None
    """Which bracket the opening beside it takes."""
    airflow_lfm: AirSpeed | None = None
    """Air speed here, in linear feet per minute."""
    drive_lengths: tuple[int, ...] | None = None
    """M.2 lengths with a stand-off, in mm (80 for a 2280)."""
    bay: Bay | None = None
    """Size of the drive bay that it stands at the back of: of form u2, u3 or u2-u3 on a board or
    carrier, and any on a backplane; left out: not known."""
    pins: Pins | None = None
    """Contacts of a header for fans."""
    run_mm: Millimetres | None = None
    """How far a cable from here must run to where its drives sit."""
    loss_db: Loss | None = None
    """What the signal loses from where its lanes are made to here; left out: not known."""
    port_multiplier: bool | None = None
    """Of a SATA port: whether its controller finds drives behind a port multiplier; left out: not
    known."""
    carries_3v3: bool | None = None
    """Whether there are 3.3 V on contact 3 for a SATA or SAS drive, on which some stay off; left
    out: not known."""
    live_swap: bool | None = None
    """Whether it takes a drive or card while the machine runs; left out: not known, taken as no."""


class PartReceptacle(ReceptacleSpec):
    """A receptacle on a part."""

    lanes: Lanes | None = None
    """Lanes behind a switch or controller; passive parts take them from the link."""
    generation: Generation | None = None
    """Highest generation its lanes are good for; left out, the part's own."""
    bus: Bus = "pcie"
    mount: Id | None = None
    """Shape of a place for an air mover: a word of your own, the same for all that take the same
    (the catalog has `end-2-slot`, `end-1-slot`, `heat-sink`); left out: not known."""


class Power(Entity):
    """What the part draws."""

    slot_w: WattsOfClass | None = None
    """From the receptacle, at most."""
    rails: tuple[Voltage, ...] | None = None
    """Voltages that it takes from the receptacle; left out: not known."""
    aux: tuple[AuxPlug, ...] = ()
    """Plugs it needs from the power supply."""
    aux_w: WattsOfClass | None = None
    """Through those plugs, at most."""
    aux_away: tuple[AuxPlug, ...] | None = None
    """Plugs that feed it alone, whole, where it is screwed to a place of the chassis that is no
    slot; `[]`: it works in its receptacle only; left out: not known."""
    plug_at: Literal["end", "top"] | None = None
    """Edge of the card at which they go in: the end away from the bracket, or the top; left out:
    not known."""
    plug_mm: Millimetres | None = None
    """Room that plugs and their cables need beyond that edge; left out: 35."""
    graphics: bool = False
    """May draw 75 W from an x16 slot after configuration (CEM power classes)."""
    start_w: WattsOfClass | None = None
    """In all, for some seconds, while it starts; left out: not known of a 3.5-inch disk, of
    anything else no more than at work."""
    peak_w: WattsOfClass | None = None
    """In all, for about a millisecond; left out: not known of an accelerator with plugs of its
    own, of anything else no more than at work."""
    idle_w: WattsOfClass | None = None
    """In all, at rest; left out: not known."""
    rails_w: dict[Rail, Watts] | None = None
    """Of what comes through its plugs, watts at 5 V (`"5"`) and 3.3 V (`"3.3"`); one left out:
    none. Nothing written: not known."""


class ExtraPlug(Entity):
    """A second connection of a part."""

    id: Id
    plug: Annotated[Plug, BeforeValidator(read_plug)]
    """Its connector."""
    links: Annotated[tuple[Link, ...], BeforeValidator(read_links)] = ()
    """Links of this plug, written as those of the part."""
    generation: Generation | None = None
    """Highest generation of its links; left out, the part's."""
    feeds: tuple[Id, ...] = ()
    """Own receptacles of the part that get their lanes through this plug."""
    joins: Id | None = None
    """Another of these plugs, or the id of the part for its own plug, with whose lanes its own make
    one wide port: both lead to one controller, and what that one feeds shares the lanes of both."""


class PartSpec(Entity):
    """One kind of part."""

    kind: Literal["part"] = "part"
    """What the file describes."""
    id: Id
    name: Line | None = None
    """What to call it in an answer; left out, its id."""
    part_class: Annotated[PartClass, Field(alias="class")] = "other"
    """The class of part; lists and ways out go by it."""
    about: str | None = None
    """What whoever uses the file should know."""
    invented: bool = False
    """The figures are made up, true to a class of things and to no product."""
    plug: Annotated[Plug, BeforeValidator(read_plug)]
    """The part's own connector, such as `cem x8` or `m2-m`."""
    links: Annotated[tuple[Link, ...], BeforeValidator(read_links)] = ()
    """None at all: the part takes only power and room from its receptacle."""
    generation: Generation | None = None
    """Highest generation of the part's links, unless a link says otherwise."""
    ports: Ports | None = None
    """Sockets for what is no part: network, video, serial or USB cables; how many, or a list of
    network ports."""
    gb_s: Annotated[tuple[GigabytesPerSecond, ...], MinLen(1)] | None = None
    """Of a module or cable for network ports: rates at which it runs, each way; left out: not
    known."""
    medium: Medium | None = None
    """What such a module sends over, or that it is a cable with both plugs on (`twinax`); left out:
    not known."""
    reach_m: Metres | None = None
    """How far a module reaches over the cable that it is made for; left out: not known."""
    wiring: Wiring = "passive"
    retimer: bool = False
    """Freshens the signal on the way, so that the wires before it and behind it count apart."""
    loss_db: Loss | None = None
    """What the signal loses in the part, from its plug to its chip or to its receptacles; left out:
    not known."""
    wired_for: tuple[Id, ...] | None = None
    """Of a cable: ids of boards and cards for whose headers its contacts beside the lanes are
    wired; left out: not known."""
    direction: Direction | None = None
    """Of a cable between a connector of four lanes and SATA ends: `forward` from the adapter to
    drives, `reverse` from SATA ports to a backplane; left out: not known."""
    buffers: bool | None = None
    """Of a SAS expander: it gathers what SATA drives send, so that its way up runs at its own rate;
    left out: not known."""
    receptacles: tuple[PartReceptacle, ...] = ()
    """What other parts can be plugged into it."""
    row_positions: Annotated[int, Interval(ge=1, le=64)] | None = None
    """Room of the part's own slot row (risers), in slot pitches."""
    extra_plugs: tuple[ExtraPlug, ...] = ()
    """Further connections that must be made as well (a SAS expander's cable to its adapter)."""
    min_lanes: Lanes | None = None
    """Below this width the part does not work."""
    min_generation: Generation | None = None
    """Below this generation the part does not work."""
    thickness: Annotated[int, Interval(ge=1, le=8)] | None = None
    """Slot pitches the body covers, its own included."""
    length_mm: MillimetresOfClass | None = None
    """Length of the body, as its maker gives it."""
    height_mm: MillimetresOfClass | None = None
    """Height of the body."""
    component_mm: MillimetresOfClass | None = None
    """How far the highest thing on a card, such as its heat sink, stands above the card's own
    board; left out: within its `thickness`."""
    bracket: Bracket | None = None
    """`both`: comes with a full and a low bracket."""
    power: Power | None = None
    """What it draws. Left out: not known, never zero."""
    makes_rails: tuple[Voltage, ...] | None = None
    """Voltages that it makes out of others for what sits on it: `[3.3v]` a carrier with a
    converter, `[12v]` an M.2 adapter that steps up; `[]`: none; left out: not known."""
    cooling: Cooling | None = None
    """How it gets rid of heat: `passive` needs air that something else moves."""
    airflow_lfm: AirSpeedOfClass | None = None
    """Air a passive part needs, or a drive whose maker asks for some."""
    airflow_at_c: Celsius | None = None
    """Temperature of the air for which `airflow_lfm` is enough; warmer air must be faster."""
    modules_w: Watts | None = None
    """Watts of modules in its ports, all together, with which `airflow_lfm` is still enough."""
    gives_airflow_lfm: AirSpeed | None = None
    """Air an air mover brings to the part that it is mounted on."""
    pins: Pins | None = None
    """Contacts of a fan's plug: three are governed by volts, four by pulses."""
    min_rpm: Rpm | None = None
    """Lowest speed at which a fan still turns."""
    mounts: tuple[Id, ...] | None = None
    """Mounts that an air mover is made for; left out: not known."""
    adds_length_mm: Millimetres = 0
    """Length an air mover adds to the part that it is mounted on."""
    demand: Annotated[Demand, BeforeValidator(read_demand)] | None = None
    """What it moves when it works; one number stands for either direction."""
    weight_kg: Annotated[float, Interval(ge=0, le=100)] | None = None
    """Weight."""
    power_disable: bool | None = None
    """A drive that stays off while there are 3.3 V on contact 3 of its power connector; left out:
    not known."""
    bay: Bay | None = None
    """Drive bay it needs where it is attached to a cable."""
    own_bays: bool | None = None
    """Of a backplane: it brings its bays along, as a cage does; `false`: it stands behind bays of
    the chassis; left out: not known."""
    reach_mm: Millimetres | None = None
    """Length of a cable."""
    recognise: tuple[PciNumber, ...] = ()
    """What the part calls itself on the bus, any of these; `verify` tells parts apart by it."""
    needs_firmware: tuple[FirmwareNeed, ...] = ()
    """What it needs of the firmware beside divided slots; left out: nothing is said."""
    mind: tuple[Line, ...] = ()
    """What whoever fits it has to know, a sentence each: every plan with the part says it."""
    modes: Annotated[tuple[FirmwareMode, ...], MinLen(1)] | None = None
    """Of an adapter for SAS drives: what its firmware can do with them; left out: not known."""
    isolates_guests: bool | None = None
    """A switch whose downstream ports keep guests apart (access control services)."""
    virtual_functions: Annotated[int, Interval(ge=0, le=4096)] | None = None
    """So many guests can have a virtual function of it; 0: it has none; left out: not known."""
    mediated: bool | None = None
    """Its driver can cut it into shares for guests; left out: not known."""
    price: Annotated[float, Interval(ge=0)] | None = None
    """In one currency of your own; for comparing ways out."""
    assumed: tuple[str, ...] = ()
    """Fields filled in from the class, not measured or read."""
    meant: tuple[str, ...] = ()
    """Names of its fields whose figures are right though unlikely: `length_mm`, or
    `slot3.length_mm` for one of several; left out, a figure out of range is a mistake."""
    sources: dict[str, str] = {}
    """Field -> document and section, or "common practice, no source", or "from memory"."""

    @property
    def port(self) -> dict[str, Port]:
        """Listed network ports by id."""
        return {one.id: one for one in self.ports} if isinstance(self.ports, tuple) else {}

    @property
    def is_card(self) -> bool:
        """Whether it stands in a slot with a bracket of its own."""
        return self.plug.form == "cem" and self.part_class not in ("riser", "cable")

    @property
    def is_low_profile(self) -> bool:
        """Whether it comes with a low bracket, perhaps beside a full one."""
        return self.bracket in ("low", "both")

    @property
    def has_endpoint(self) -> bool:
        """Whether a PCIe link of its own ends in it, so that its rate matters."""
        return any(link.bus == "pcie" and not link.to for link in self.links)

    @property
    def only_wires(self) -> bool:
        """Whether it is a cable, riser or passive carrier, which draws nothing worth counting."""
        passes_on = any(one.form != "cooling-mount" for one in self.receptacles)
        return self.wiring == "passive" and (passes_on or self.part_class == "cable")

    @property
    def has_modes(self) -> bool:
        """Whether its firmware may keep drives behind arrays, as far as anyone has said."""
        if self.modes is not None:
            return "raid" in self.modes
        makes_sas = self.wiring == "controller" and any(
            one.bus == "sas" for one in self.receptacles
        )
        return self.part_class == "host-bus-adapter" and makes_sas

    @property
    def has_power_plugs(self) -> bool:
        """Whether it has plugs of its own, which feed what sits on it."""
        return bool(self.power and self.power.aux)

    def fed_at(self, form: str) -> "PartSpec":
        """The part as it is fed in a receptacle of that form: away from slots by plugs alone."""
        if form != "mounting-place" or self.power is None or not self.power.aux_away:
            return self
        plugs = {"slot_w": 0, "aux": self.power.aux_away, "aux_w": self.fed_away_w}
        return self.model_copy(update={"power": self.power.model_copy(update=plugs)})

    @property
    def fed_away_w(self) -> float | None:
        """Watts through its plugs away from slots: all it draws; None if that is not known."""
        return self.draw_w if self.is_draw_said else None

    @property
    def is_splitter(self) -> bool:
        """Whether it makes two plugs out of one of the same kind."""
        return bool(self.power and self.plug.form in self.power.aux)

    @property
    def is_draw_said(self) -> bool:
        """Whether its draw is known, from the receptacle and through every plug."""
        power = self.power
        return bool(
            power and power.slot_w is not None and (power.aux_w is not None or not power.aux)
        )

    @property
    def needs_lfm(self) -> float | None:
        """Air that a part without a fan needs, if anyone has said."""
        bare_drive = self.cooling is None and self.part_class == "drive"
        return self.airflow_lfm if self.cooling == "passive" or bare_drive else None

    @property
    def is_need_unknown(self) -> bool:
        """Whether it is passive and may be warm, and nobody has said how much air it needs."""
        warm = self.draw_w > COOL_W or (self.power is None and not self.only_wires)
        return self.cooling == "passive" and warm and self.airflow_lfm is None

    @property
    def draw_w(self) -> float:
        """What it draws in all, as far as anyone has said, in watts."""
        return ((self.power.slot_w or 0) + (self.power.aux_w or 0)) if self.power else 0
