"""Ways to change the second invented machine, as a table of cases names them."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from slotfit.read.machine import MachineSeen
from tests.read.machines import endpoint
from tests.read.scenes import ACCELERATOR, NETWORK
from tests.verify.fen import SAS, Bus, bus_as_planned, document, read_as

KINDS = {"drive": 0x0108, "network": NETWORK, "accelerator": ACCELERATOR, "sas": SAS,
         "sound": 0x0403}  # fmt: skip
Case = dict[str, Any]
Plan = dict[str, Any]


def changed_machine(case: Case) -> MachineSeen:
    """The machine of a case, as it is read."""
    bus = bus_as_planned()
    for address, kind in case.get("other", {}).items():
        bus[address] = _endpoint(address, kind)
    bus = _exchanged(bus, case.get("exchange", ()))
    for address in case.get("unplug", ()):
        bus = _present(bus, address, present=False)
    away = {*case.get("without", ()), *case.get("unplug", ())}
    bus = {name: one for name, one in bus.items() if name not in away}
    for first in case.get("without_from", ()):
        bus = {name: one for name, one in bus.items() if name < first}
    for address, fields in case.get("change", {}).items():
        bus[address] = replace(bus[address], **fields)
    for address, kind in case.get("add", {}).items():
        bus[address] = _endpoint(address, kind)
    for address, fields in case.get("add_port", {}).items():
        said = fields | {"buses": tuple(fields["buses"])}
        bus[address] = replace(bus["00:03.0"], address=address, **said)
    if case.get("nothing"):
        bus = {}
    return read_as(bus, **_reading(case.get("read", {})))


def _endpoint(address: str, said: dict[str, Any]) -> Any:
    kind = KINDS[said["kind"]]
    device = said.get("device", 0x0BAD)
    return endpoint(address, kind=kind, lanes=said.get("lanes", 4), device=device)


def _reading(said: dict[str, Any]) -> dict[str, Any]:
    return said | ({"gone": tuple(said["gone"])} if "gone" in said else {})


def _exchanged(bus: Bus, pairs: Any) -> Bus:
    """What hangs below one port hangs below the other, and each tells so."""
    for one, other in pairs:
        a, b = bus[one], bus[other]
        assert a.buses
        assert b.buses
        bus = bus | {
            one: replace(a, buses=(a.buses[0], *b.buses[1:]), present=b.present),
            other: replace(b, buses=(b.buses[0], *a.buses[1:]), present=a.present),
        }
    return bus


def _present(bus: Bus, address: str, *, present: bool) -> Bus:
    """The contact of the port above something."""
    below = int(address.split(":", maxsplit=1)[0], 16)
    above = next(name for name, one in bus.items() if one.buses and one.buses[1] == below)
    return bus | {above: replace(bus[above], present=present)}


def changed_plan(case: Case) -> Plan:
    """The plan of a case."""
    plan = document()
    seats = {seat["item"]: seat for seat in plan["plan"]["seats"]}
    for item, fields in case.get("plan", {}).items():
        seats[item].update(fields)
    for one, other in case.get("same_lanes", ()):
        rows = {row["site"]: row for row in plan["plan"]["receptacles"]}
        rows[other]["group"] = rows[one]["group"]
    if case.get("riser"):
        _over_a_riser(plan, case["riser"])
    if case.get("processors_reversed"):
        plan["plan"]["machines"][0]["processors"].reverse()
    return plan


def _over_a_riser(plan: Plan, item: str) -> None:
    """A riser between a part and its slot."""
    (seat,) = (one for one in plan["plan"]["seats"] if one["item"] == item)
    through = [dict(link, to=["slot"]) for link in seat["links"]]
    riser = dict(seat, item="riser-1", part_class="riser", recognise=[], links=through)
    seat |= {"site": "riser-1/slot", "owner": "riser-1", "depth": 1}
    plan["plan"]["seats"].append(riser)
