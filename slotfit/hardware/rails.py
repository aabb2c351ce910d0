"""By which voltages power gets to a part, over all that it sits on."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from slotfit.model.part import PartReceptacle, PartSpec
from slotfit.model.problem import Part, Problem
from slotfit.standards.forms import plug_fits
from slotfit.standards.power import RAILS


def needed(spec: PartSpec) -> tuple[str, ...] | None:
    """
    Voltages that a part takes from its receptacle; None if nobody has said.

    A card may do with either; all other forms have one supply. Wires and carriers pass on.
    """
    power, row = spec.power, RAILS.get(spec.plug.form)
    if power and power.rails is not None:
        return power.rails
    if (power and power.slot_w == 0) or spec.only_wires or row is None:
        return ()
    return None if spec.plug.form == "cem" else row.rails


def brings_12v(below: Sequence[Part]) -> bool | Part:
    """Whether 12 V get through the parts below, innermost first; or who may have to make them."""
    silent = None
    for part in below:
        spec = part.spec
        if spec.has_power_plugs or "12v" in (spec.makes_rails or ()) or spec.part_class == "cable":
            return True  # a cable's ends are fed by whoever holds the drives
        if spec.makes_rails is None:
            silent = part
        if RAILS.get(spec.plug.form, RAILS["cem"]).rails == ("3.3v",):
            return silent or False
    return True


def on_slots_3v3(below: Sequence[Part], form: str) -> Iterator[Part]:
    """
    Parts below whose slot's 3.3 V may feed what sits over them, innermost first.

    `form`: of the plug on top. From M.2 on there is nothing but 3.3 V, out of the slot or made.
    """
    for part in below:
        spec = part.spec
        if spec.has_power_plugs or spec.part_class == "cable":
            return
        if form.startswith("m2-") and spec.plug.form == "cem":
            yield part
        form = spec.plug.form


def fed_by_plugs(form: str, below: Sequence[Part]) -> Part | None:
    """
    The part below whose plugs feed what sits in a receptacle of this form; None if none does.

    An air mover hangs on its card's own headers.
    """
    if form == "cooling-mount":
        return None
    for part in below:
        if part.spec.has_power_plugs:
            return part
        if part.spec.part_class == "cable":
            return None
    return None


def most_w(problem: Problem, carrier: Part, part: Part) -> float:
    """
    What this part and others of the build may draw over a carrier together, at most.

    The thirstiest have its other M.2 sockets; where something that carries fits one, there is no
    end to what may sit over it.
    """
    sockets = m2_of(carrier.spec)
    others = [one.spec for one in problem.parts if one.id not in (part.id, carrier.id)]
    direct = [spec for spec in others if goes_on(spec, sockets)]
    stacked = any(spec.receptacles for spec in (*direct, part.spec)) or not goes_on(
        part.spec, sockets
    )
    draws = sorted(map(slot_w, others if stacked else direct), reverse=True)
    return slot_w(part.spec) + sum(draws if stacked else draws[: len(sockets) - 1])


def slot_w(spec: PartSpec) -> float:
    """What a part takes from its receptacle, as far as anyone has said."""
    return (spec.power.slot_w or 0) if spec.power else 0


def m2_of(spec: PartSpec) -> list[PartReceptacle]:
    """M.2 sockets on a part."""
    return [one for one in spec.receptacles if one.form.startswith("m2-")]


def goes_on(spec: PartSpec, sockets: Sequence[PartReceptacle]) -> bool:
    """Whether its plug fits one of the sockets."""
    return any(plug_fits(spec.plug.form, socket.form) for socket in sockets)


def parts_below(problem: Problem, carriers: Sequence[str]) -> list[Part]:
    """Parts by their ids, innermost first."""
    return [problem.part[name] for name in carriers]
