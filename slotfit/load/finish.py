"""What a part's file may leave out because it follows from the rest."""

from __future__ import annotations

from collections.abc import Sequence

from slotfit.load.connector import usual_bus
from slotfit.load.part_checks import served_by
from slotfit.model.part import Link, Part, PartReceptacle, Plug


def finish(part: Part) -> Part:
    """
    The part with buses that follow from a form, and with passive links that lead somewhere.

    Links of a passive part without any `to` go to its receptacles one to one, in order, if there
    are as many of one as of the other.
    """
    receptacles = tuple(map(with_bus, part.receptacles))
    fed = {name for plug in part.extra_plugs for name in plug.feeds}
    own = [one for one in receptacles if one.id not in fed]
    plugs = tuple(
        plug.model_copy(
            update={
                "links": led(
                    links_of(plug.plug, plug.links),
                    [one for one in receptacles if one.id in plug.feeds],
                    part,
                )
            }
        )
        for plug in part.extra_plugs
    )
    links = led(links_of(part.plug, part.links), own, part)
    return part.model_copy(
        update={"receptacles": receptacles, "links": links, "extra_plugs": plugs}
    )


def with_bus(receptacle: PartReceptacle) -> PartReceptacle:
    said = "bus" in receptacle.model_fields_set
    bus = usual_bus(receptacle.form, receptacle.bus, said=said)
    return receptacle.model_copy(update={"bus": bus})


def links_of(plug: Plug, links: Sequence[Link]) -> tuple[Link, ...]:
    return tuple(
        link.model_copy(
            update={"bus": usual_bus(plug.form, link.bus, said="bus" in link.model_fields_set)}
        )
        for link in links
    )


def led(links: tuple[Link, ...], own: Sequence[PartReceptacle], part: Part) -> tuple[Link, ...]:
    """Links with their `to` filled in where it follows."""
    served = served_by(links, own)
    if part.wiring != "passive" or len(links) != len(served) or any(link.to for link in links):
        return links
    return tuple(
        link.model_copy(update={"to": (one.id,)}) for link, one in zip(links, served, strict=True)
    )
