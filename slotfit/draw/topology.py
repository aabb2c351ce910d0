"""
The topology as DOT: processors, hubs, lane groups, receptacles with what sits in them, links.

Left to right, the way lanes run. Line styles carry the meaning; colours only repeat it:
solid = at full ability, dashed = below it, dotted = no lanes in use, double = a cable.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from itertools import pairwise
from typing import TYPE_CHECKING

from slotfit.answers.place.answer import MachineView, SeatView, View
from slotfit.answers.place.cables import (
    Nesting,
    able_words,
    board_receptacles,
    cables_of,
    health,
    link_words,
    merged,
    nesting_of,
)
from slotfit.answers.place.layout import GroupView, ReceptacleView
from slotfit.draw.svg import CARD, INK, LINE, PAPER, SOFT, WARN, Tone, plain, processor_tones
from slotfit.draw.topology_labels import (
    cable_label,
    group_label,
    hub_label,
    legend_label,
    machine_label,
    processor_label,
    receptacle_label,
)

if TYPE_CHECKING:
    import graphviz

LINES = {
    "full": {"style": "solid"},
    "below": {"style": "dashed", "color": WARN.light, "fontcolor": WARN.light},
    "dark": {"style": "dotted", "color": WARN.light, "fontcolor": WARN.light},
    "power": {"style": "dotted", "color": LINE.light, "fontcolor": SOFT.light},
    "held": {"style": "dotted", "color": LINE.light, "fontcolor": SOFT.light},
}
FREE_LINE = {"style": "dotted", "color": LINE.light}


@dataclass
class Topology:
    """A drawing in the making."""

    view: View
    nesting: Nesting
    graph: graphviz.Digraph
    nodes: dict[tuple[str, ...], str] = field(default_factory=dict)
    titles: dict[str, str] = field(default_factory=dict)
    """Node name -> what a screen reader says for it."""

    def name(self, *key: str) -> str:
        """A node's name in DOT: made up, since the things' own names may hold anything."""
        return self.nodes.setdefault(key, f"n{len(self.nodes)}")

    def tones(self, machine: str, processor: str | None) -> tuple[Tone, Tone]:
        """Line and fill of what hangs on a processor."""
        number = self.nesting.processors.get((machine, processor or ""))
        return (LINE, CARD) if number is None else processor_tones(number)


def topology(view: View) -> Topology:
    """The whole drawing; `.graph.source` is DOT."""
    import graphviz  # noqa: PLC0415 - graphviz

    graph = graphviz.Digraph("slotfit")
    graph.attr(
        "graph",
        rankdir="LR",
        bgcolor=PAPER.light,
        pad="0.3",
        nodesep="0.14",
        ranksep="0.7",
    )
    graph.attr("graph", fontname="Helvetica", fontsize="13", fontcolor=INK.light)
    graph.attr("graph", label=legend_label(), labelloc="b", labeljust="l")
    graph.attr("node", shape="plain", fontname="Helvetica", fontsize="11", fontcolor=INK.light)
    graph.attr("edge", fontname="Helvetica", fontsize="10", fontcolor=INK.light, color=INK.light)
    graph.attr("edge", arrowhead="none", headport="w", tailport="e")
    made = Topology(view, nesting_of(view), graph)
    columns = [draw_machine(made, machine) for machine in view.machines]
    with graph.subgraph() as rank:
        rank.attr(rank="same")
        # A chain of one rank is laid from top to bottom. Inside a frame of Graphviz's (a "cluster")
        # it would not hold, so machines are told apart by a box that their processors hang on.
        for above, below in pairwise([name for column in columns for name in column]):
            rank.edge(above, below, style="invis", headport="_", tailport="_")
    draw_cables(made)
    return made


def label_lines(*lines: str) -> str:
    """A plain label: nothing in it is an escape or an entity."""
    import graphviz  # noqa: PLC0415 - graphviz

    return "\\n".join(str(graphviz.escape(plain(line).replace("&", "&amp;"))) for line in lines)


def draw_machine(made: Topology, machine: MachineView) -> list[str]:
    """One machine: processors, hubs, lane groups, receptacles; returns the last from top down."""
    root = made.name("machine", machine.id)
    made.graph.node(root, label=machine_label(machine))
    made.titles[root] = f"machine {machine.name}, {machine.board_name}"
    for id_, label, fitted in machine.processors:
        name = made.name(machine.id, "from", id_)
        tones = made.tones(machine.id, id_)
        made.graph.node(name, label=processor_label(label, id_, tones, fitted=fitted))
        made.titles[name] = f"processor {label}" + ("" if fitted else ", not fitted")
        made.graph.edge(root, name, color=LINE.light, style="solid" if fitted else "dotted")
    for hub in machine.hubs:
        draw_hub(made, machine, hub)
    groups = {group.id: group for group in made.view.groups if group.machine == machine.id}
    for group in groups.values():
        if stands_alone(group):
            draw_group(made, group)
    column = in_column(made.view, machine)
    for receptacle in column:
        draw_receptacle(made, receptacle, groups.get(receptacle.group or ""))
    return [node_of(made, receptacle) for receptacle in column]


def in_column(view: View, machine: MachineView) -> list[ReceptacleView]:
    """The board's receptacles from top to bottom: by processor, hub and lane group."""
    order = [id_ for id_, _, _ in machine.processors]
    hubs = [id_ for id_, _, _ in machine.hubs]
    every = [r for r in board_receptacles(view, machine) if r.form != "opening" or r.item]
    groups = list(dict.fromkeys(receptacle.group for receptacle in every))

    def key(receptacle: ReceptacleView) -> tuple[int, int, int]:
        processor, from_ = receptacle.processor, receptacle.from_
        return (
            order.index(processor) if processor in order else len(order),
            hubs.index(from_) + 1 if from_ in hubs else 0,
            groups.index(receptacle.group),
        )

    return merged(sorted(every, key=key))


def node_of(made: Topology, receptacle: ReceptacleView) -> str:
    """The node of a receptacle, or of the part in it."""
    return made.name("item", receptacle.item) if receptacle.item else made.name(receptacle.site)


def draw_hub(made: Topology, machine: MachineView, hub: tuple[str, str, str]) -> None:
    """A hub and its shared link upwards."""
    id_, above, uplink = hub
    name = made.name(machine.id, "from", id_)
    hop = next((h for h in made.view.hops if (h.machine, h.name) == (machine.id, id_)), None)
    short = hop is not None and hop.short_mb_s > 0
    made.graph.node(name, label=hub_label(id_, hop))
    made.titles[name] = f"hub {id_}"
    style = LINES["below" if short else "full"]
    label = label_lines(*([uplink, "not enough"] if short else [uplink]))
    made.graph.edge(made.name(machine.id, "from", above), name, label=label, penwidth="3", **style)


def stands_alone(group: GroupView) -> bool:
    """Whether the group is worth a node: something is chosen or divided in it."""
    return group.setting is not None or len(group.gives) > 1


def draw_group(made: Topology, group: GroupView) -> None:
    """A lane group with its arrangement."""
    name = made.name(group.machine, "group", group.id)
    made.graph.node(name, label=group_label(group, made.tones(group.machine, group.processor)))
    made.titles[name] = f"lane group {group.id}"
    style = "solid" if group.fitted else "dotted"
    made.graph.edge(origin(made, group), name, penwidth="2.5", style=style)


def origin(made: Topology, group: GroupView) -> str:
    """The node that the group's lanes come from; one that says so where nobody knows."""
    name = made.name(group.machine, "from", group.from_ or "")
    if group.from_ is None:
        tones = made.tones(group.machine, None)
        made.graph.node(name, label=processor_label("not known", "not known", tones, fitted=True))
        made.titles[name] = "lanes from nobody knows which processor"
    return name


def draw_receptacle(made: Topology, receptacle: ReceptacleView, group: GroupView | None) -> None:
    """A receptacle of the board, with the part in it and all that the part holds."""
    name = node_of(made, receptacle)
    tones = made.tones(receptacle.machine, receptacle.processor)
    made.graph.node(name, label=receptacle_label(made.nesting, receptacle, tones))
    made.titles[name] = f"{receptacle.label}: {receptacle.item or receptacle.state}"
    seat = made.nesting.seat.get(receptacle.item or "")
    if group is None:
        return
    if stands_alone(group):
        source = made.name(group.machine, "group", group.id)
    else:
        source = origin(made, group)
    made.graph.edge(source, name, **line_to(receptacle, seat))


def line_to(receptacle: ReceptacleView, seat: SeatView | None) -> dict[str, str]:
    """The line from its lanes to a receptacle: what trains on it."""
    if seat is None:
        arrives = receptacle.gets if receptacle.segments else receptacle.state
        return {"label": label_lines(arrives), "fontcolor": SOFT.light, **FREE_LINE}
    label = label_lines(link_words(seat), *filter(None, [able_words(seat)]))
    lanes = sum(link.lanes for link in seat.links)
    return {"label": label, "penwidth": f"{1 + lanes / 5:g}", **LINES[health(seat)]}


def draw_cables(made: Topology) -> None:
    """Each cable between two parts as a box beside them; what else hangs on one is in its row."""
    color = f"{INK.light}:{PAPER.light}:{INK.light}"
    for cable in cables_of(made.view, made.nesting):
        holder = root_of(made.nesting, made.nesting.seat[cable.item])
        ends = [end for end in cable.to if ("item", end) in made.nodes and end != holder]
        if holder is None or not ends:
            continue
        name = made.name("cable", cable.item)
        made.graph.node(name, label=cable_label(cable))
        made.titles[name] = f"cable {cable.words}"
        for part in (holder, *ends):
            made.graph.edge(made.name("item", part), name, color=color)


def root_of(nesting: Nesting, seat: SeatView) -> str | None:
    """The part in the board's receptacle that carries this seat."""
    below = {r.site: r for own in nesting.on.values() for r in own}
    while (receptacle := below.get(seat.site)) is not None and not receptacle.on_board:
        if (owner := nesting.seat.get(receptacle.owner)) is None:
            return None
        seat = owner
    return seat.item
