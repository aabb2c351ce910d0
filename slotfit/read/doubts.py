"""What to doubt of a joined machine: sources that disagree, tables and listings that say little."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any

from slotfit.listing import listed
from slotfit.read.machine import Disagreement, Fact, ReceptacleSeen
from slotfit.read.pci_tree import Topology
from slotfit.read.receptacles import FEW, is_of_an_old_bus, says_it_of_all
from slotfit.read.seen import FunctionSeen, Note, Where
from slotfit.read.ties import is_null


def disagreements_of(seen: ReceptacleSeen) -> list[Disagreement]:
    facts: dict[str, Fact[Any]] = {
        "form": seen.forms,
        "wired lanes": seen.lanes,
        "connector size in lanes": seen.shape_lanes,
        "generation": seen.generation,
        "processor": seen.processor,
        "part present": seen.occupied,
        "usable": seen.usable,
    }
    return [
        Disagreement(seen.label, name, fact.claims[0], fact.against, fact.why)
        for name, fact in facts.items()
        if fact.against
    ]


def of_table(receptacles: list[ReceptacleSeen]) -> Iterator[Note]:
    """What makes a whole table doubtful: every slot in use, not one address that leads anywhere."""
    records = [record for seen in receptacles for record in seen.records]
    if not records:
        return
    where = Where(records[0].where.file)
    if says_it_of_all(records):
        yield Note("odd", f"all {len(records)} slots say that they are in use", where)
    if len(records) > FEW and all(is_null(record.address) for record in records):
        yield Note("odd", "no slot record has an address: usage and parts are not tied", where)
    if names := [seen.label for seen in receptacles if seen.of_template]:
        text = f"{listed(names)} are names of a reference design: nothing this table says of them"
        yield Note("odd", f"{text} is taken for this board's", where)
    if old := [record.designation for record in records if is_of_an_old_bus(record)]:
        text = f"the types of {listed(map(str, old))} are of an older bus than their names"
        yield Note("odd", f"{text}: hold them against the board", where)
    if odd := sum(1 for record in records if record.form == "cem" and record.width_bits):
        text = f"{odd} PCI Express slots have a width in bits, which they cannot have"
        yield Note("odd", text, where)


def of_bus(topology: Topology, functions: Iterable[FunctionSeen], file: str) -> Iterator[Note]:
    """Links whose capability no source shows, and a plain list, which shows no tree."""
    hidden = sum(1 for seen in functions if seen.link and seen.port_type is None)
    if hidden:
        text = f"{hidden} functions show only their header: slot numbers and port types need root"
        yield Note("not-read", text, Where(file))
    adrift = sum(1 for seen in topology.functions.values() if seen.address.bus)
    if adrift >= 2 and not topology.bridges:
        hangs = f"what the {adrift} functions below are attached to needs `lspci -vv`"
        yield Note("not-read", f"no bridge shows its buses: {hangs}", Where(file))
