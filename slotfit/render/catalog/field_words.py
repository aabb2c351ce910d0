"""The values of a description's fields, as a reader says them."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from slotfit.model.entity import Entity
from slotfit.model.field_units import unit_named
from slotfit.model.part import Demand, Plug, Power
from slotfit.render.words import watts

APART = {"kind", "id", "name", "part_class", "about", "invented", "sources"}
"""Fields that stand in the heading, not in the table of figures."""


def facts(entity: Entity, without: set[str]) -> Iterator[tuple[str, str, str]]:
    """Field, value and source of everything that is said, in the order of the model."""
    sources: dict[str, str] = getattr(entity, "sources", {})
    for name, info in type(entity).model_fields.items():
        if name in APART | without or name not in entity.model_fields_set:
            continue
        value = getattr(entity, name)
        if value is not None and value != ():
            key = info.alias or name
            yield key, value_words(name, value), sources.get(key, "")


def value_words(name: str, value: Any) -> str:
    """One value, with its unit."""
    match value:
        case Plug():
            return value.form + (f" x{value.width}" if value.width else "")
        case Power():
            return power_words(value)
        case Demand():
            return f"{value.in_gb_s:g} GB/s in, {value.out_gb_s:g} GB/s out"
        case bool():
            return "yes" if value else "no"
        case int() | float():
            return f"{value:g} {unit_named(name)}".rstrip()
        case dict():
            return ", ".join(f"{count} x {what}" for what, count in value.items()) or "none"
        case tuple():
            texts = ", ".join(value_words("", one) for one in value)
            return f"{texts} {unit_named(name)}".strip() or "none"
        case _:
            return str(value)


def power_words(power: Power) -> str:
    """`13 W from its receptacle, 190 W through pcie-6 and pcie-8`."""
    text = f"{watts(power.slot_w)} from its receptacle"
    if power.aux:
        text += f", {watts(power.aux_w)} through {' and '.join(power.aux)}"
    return text + (" (75 W class)" if power.graphics else "")
