"""
The joined view: one machine, put together from everything its sources said.

A `Fact` carries the value that was chosen, what it rests on, and what else was said; nothing that
contradicts is dropped. `None` as a value: no source says.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Generic, TypeVar

from slotfit.read.seen import (
    DriveSeen,
    FunctionSeen,
    Inventory,
    OnboardSeen,
    PciAddress,
    PortNameSeen,
    SlotSeen,
    Where,
)

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Claim(Generic[T]):
    """One source's word on one fact. `basis` names the field it comes from, for people."""

    value: T
    basis: str
    where: Where


@dataclass(frozen=True, slots=True)
class Fact(Generic[T]):
    """
    What is taken to be true, and every claim about it, the chosen one first.

    `why` says why the chosen one is better founded, where claims disagree.
    """

    claims: tuple[Claim[T], ...] = ()
    why: str = ""

    @property
    def value(self) -> T | None:
        """The chosen value; None if nobody says."""
        return self.claims[0].value if self.claims else None

    @property
    def against(self) -> tuple[Claim[T], ...]:
        """The claims that say something else."""
        return tuple(claim for claim in self.claims if claim.value != self.value)


@dataclass(frozen=True, slots=True)
class Disagreement:
    """A fact on which sources disagree, in words for people."""

    about: str
    fact: str
    chosen: Claim[object]
    others: tuple[Claim[object], ...]
    why: str

    def __str__(self) -> str:
        others = "; ".join(f"{_said(c.value)} ({c.basis}, {c.where})" for c in self.others)
        chosen = f"{_said(self.chosen.value)} ({self.chosen.basis}, {self.chosen.where})"
        return f"{self.about}: {self.fact}: {chosen} taken, not {others}: {self.why}"


def _said(value: object) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return str(value)


@dataclass(frozen=True, slots=True)
class PartSeen:
    """
    One part that is plugged in now, or soldered on.

    `kind`: "endpoint" (one device, with all its functions), "switch" (a bridge or packet switch
    with different devices below), "carrier" (a switch with only drives below), "passive carrier"
    (drives under several ports of one receptacle). `top` is the function nearest the processor, and
    its link is the part's. `inside` are the parts in the part's own receptacles.
    """

    kind: str
    top: FunctionSeen
    functions: tuple[FunctionSeen, ...]
    port: PciAddress | None = None
    inside: tuple[PartSeen, ...] = ()
    drives: tuple[DriveSeen, ...] = ()
    names: tuple[PortNameSeen, ...] = ()

    @property
    def main(self) -> FunctionSeen:
        """The function that says what the part is: the first that is no bridge."""
        return next((seen for seen in self.functions if not seen.is_bridge), self.top)


@dataclass(frozen=True, slots=True)
class ReceptacleSeen:
    """
    A receptacle: from slot records, from a port with a slot, or both.

    `label` is the firmware's designation, or the port's address where there is none. `forms` are
    words of `standards.smbios`, "slimsas", "mcio" or "bay". `joined_by` says how records and ports
    were brought together: "address", "slot number", "slot folder", "designation", or None if they
    were not. `processor` counts sockets from 0. `lanes` is the wiring, `divided` what each port has
    now.
    """

    label: str
    records: tuple[SlotSeen, ...]
    ports: tuple[FunctionSeen, ...]
    joined_by: str | None
    forms: Fact[str]
    lanes: Fact[int]
    shape_lanes: Fact[int]
    generation: Fact[int]
    processor: Fact[int]
    node: int | None
    occupied: Fact[bool]
    usable: Fact[bool]
    power_w: float | None
    divided: tuple[int | None, ...]
    splits: bool | None
    parts: tuple[PartSeen, ...]
    of_template: bool = False
    """Its record bears a name of a reference design, in a table full of such names."""

    @property
    def form(self) -> str | None:
        """The form that is believed; None if nobody says."""
        return self.forms.value


@dataclass(frozen=True, slots=True)
class MachineSeen(Inventory):
    """
    One machine; its processors in the order in which receptacles count them.

    `unplaced`: parts below ports that no receptacle could be tied to. `onboard`: soldered devices.
    `leading_out`: ports of the case that a cable goes into, each with what hangs on it.
    """

    sources: tuple[tuple[str, str], ...]
    receptacles: tuple[ReceptacleSeen, ...] = ()
    onboard: tuple[PartSeen, ...] = ()
    onboard_named: tuple[OnboardSeen, ...] = ()
    leading_out: tuple[tuple[FunctionSeen, tuple[FunctionSeen, ...]], ...] = ()
    unplaced: tuple[PartSeen, ...] = ()
    disagreements: tuple[Disagreement, ...] = ()
