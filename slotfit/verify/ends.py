"""What answers in the machine, one by one: devices and switches, each with the place it is in."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

from slotfit.describe.isolation import every_function
from slotfit.describe.kinds import kind_of
from slotfit.describe.named import numbers_of
from slotfit.read.merge.machine import MachineSeen, PartSeen, ReceptacleSeen
from slotfit.read.seen import DriveSeen, FunctionSeen


@dataclass(frozen=True, eq=False, slots=True)
class End:
    """
    One device, or one switch with what is behind it in `inside`.

    `receptacle` None: it is not known to be in one; `soldered` then tells whether the board has it.
    """

    part: PartSeen
    receptacle: ReceptacleSeen | None
    soldered: bool = False
    inside: list[End] = field(default_factory=list)

    @property
    def is_switch(self) -> bool:
        """Whether other things answer behind it."""
        return self.part.kind in ("switch", "carrier")

    @property
    def functions(self) -> list[FunctionSeen]:
        """Its own functions; for a switch only its bridges."""
        return list(self.part.functions) if self.is_switch else every_function(self.part)

    @property
    def numbers(self) -> frozenset[str]:
        """PCI numbers of its functions, with and without those of the card."""
        full = {number for seen in self.functions if (number := numbers_of(seen))}
        return frozenset(full | {number.partition("/")[0] for number in full})

    @property
    def classes(self) -> frozenset[str]:
        """Classes of parts that its functions may belong to."""
        return frozenset(
            kind_of(seen.class_code).part_class for seen in self.functions if not seen.is_bridge
        )

    @property
    def drives(self) -> tuple[DriveSeen, ...]:
        """Drives that hang on it."""
        return self.part.drives

    @property
    def name(self) -> str:
        """How to call it where no plan has a name for it."""
        main = self.part.main
        number = (numbers_of(main) or "").partition("/")[0]
        kind = "switch" if self.is_switch else kind_of(main.class_code).stem
        return " ".join(filter(None, (kind, f"[{number}]" if number else "", f"at {main.address}")))


def ends_of(seen: MachineSeen, adrift: list[PartSeen]) -> list[End]:
    """Everything that answers: in receptacles first, then of unknown place, then soldered on."""
    found = [
        end for one in seen.receptacles for part in one.parts for end in _ends(part, one, False)
    ]
    found += [end for part in adrift for end in _ends(part, None, False)]
    return found + [end for part in seen.onboard for end in _ends(part, None, True)]


def _ends(part: PartSeen, receptacle: ReceptacleSeen | None, soldered: bool) -> Iterator[End]:
    """A part and what is in it; a passive carrier is nothing that answers."""
    inner = [end for one in part.inside for end in _ends(one, receptacle, soldered)]
    if part.kind != "passive carrier":
        direct = [end for end in inner if end.part in part.inside]
        yield End(part, receptacle, soldered, direct)
    yield from inner
