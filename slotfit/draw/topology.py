"""
The topology as DOT: processors, hubs, lane groups, receptacles with what sits in them, links.

Left to right, the way lanes run. Line styles carry the meaning; colours only repeat it:
solid = at full ability, dashed = below it, dotted = no lanes in use, double = a cable.
Boxes are Graphviz's HTML-like labels.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import TYPE_CHECKING, Any

from slotfit.answers import names
from slotfit.answers.place.answer import (
    Division,
    PlaceAnswer,
    PlannedCable,
    PlannedGroup,
    PlannedMachine,
    PlannedReceptacle,
    PlannedSeat,
    SharedLink,
)
from slotfit.answers.place.layout import PlanLayout, layout_of, merged, nested_rows
from slotfit.draw import svg
from slotfit.draw.svg import CARD, INK, LINE, PAPER, SOFT, WARN, Tone, cut, lines_of, wrap
from slotfit.listing import in_short

if TYPE_CHECKING:
    import graphviz

LINES = {
    "full": {"style": "solid"},
    "below": {"style": "dashed", "color": WARN.light, "fontcolor": WARN.light},
    "dark": {"style": "dotted", "color": WARN.light, "fontcolor": WARN.light},
    "power": {"style": "dotted", "color": LINE.light, "fontcolor": SOFT.light},
    "held": {"style": "dotted", "color": LINE.light, "fontcolor": SOFT.light},
}
FREE_LINE = {"style": "dotted", "color": LINE.light, "fontcolor": SOFT.light}


@dataclass
class TopologyDrawing:
    """A drawing in the making."""

    answer: PlaceAnswer
    layout: PlanLayout
    graph: graphviz.Digraph
    nodes: dict[tuple[str, ...], str] = field(default_factory=dict)
    titles: dict[str, str] = field(default_factory=dict)
    """Node name -> what a screen reader says for it."""

    def name(self, *key: str) -> str:
        """A node's name in DOT: made up, since the things' own names may hold anything."""
        return self.nodes.setdefault(key, f"n{len(self.nodes)}")

    def node(self, key: tuple[str, ...], title: str, label: str) -> str:
        """Draw a node; returns its name."""
        name = self.name(*key)
        self.graph.node(name, label=label)
        self.titles[name] = title
        return name

    def tones(self, machine: str, processor: str | None) -> tuple[Tone, Tone]:
        """Line and fill of what hangs on a processor."""
        return svg.processor_tones(self.layout.processor(machine, processor)[0])

    def receptacle(self, receptacle: PlannedReceptacle) -> tuple[str, ...]:
        """The key of a receptacle's node, or of the part in it."""
        return ("item", receptacle.item) if receptacle.item else (receptacle.site,)


WIDE_FONT = "Verdana"
"""Room is measured by the widest of the usual plain fonts: whichever is there stays in its box."""


def topology(answer: PlaceAnswer, no_plan: Sequence[str] = ()) -> TopologyDrawing:
    """
    The whole drawing; `.graph.source` is DOT.

    `no_plan`: why there is none and what would help, a paragraph each.
    """
    import graphviz  # noqa: PLC0415 - graphviz

    graph = graphviz.Digraph("slotfit")
    page = {"bgcolor": PAPER.light, "pad": "0.3", "nodesep": "0.14", "ranksep": "0.7"}
    font = {"fontname": WIDE_FONT, "fontcolor": INK.light}
    graph.attr("graph", rankdir="LR", **page)
    graph.attr("graph", fontsize="13", **font)
    graph.attr(
        "graph", label=legend_label(verdict_shown(answer), no_plan), labelloc="b", labeljust="l"
    )
    graph.attr("node", shape="plain", fontsize="11", **font)
    graph.attr("edge", fontsize="10", color=INK.light, **font)
    graph.attr("edge", arrowhead="none", headport="w", tailport="e")
    made = TopologyDrawing(answer, layout_of(answer.plan, answer.do.cables), graph)
    column = [name for machine in answer.plan.machines for name in draw_machine(made, machine)]
    with graph.subgraph() as rank:
        rank.attr(rank="same")
        # A chain of one rank is laid from top to bottom. Inside a frame of Graphviz's (a "cluster")
        # it would not hold, so machines are told apart by a box that their processors hang on.
        for above, below in pairwise(column):
            rank.edge(above, below, style="invis", headport="_", tailport="_")
    draw_cables(made)
    return made


def label_lines(*lines: str) -> str:
    """A plain label: nothing in it is an escape or an entity."""
    import graphviz  # noqa: PLC0415 - graphviz

    return "\\n".join(str(graphviz.escape(svg.plain(one).replace("&", "&amp;"))) for one in lines)


def draw_machine(made: TopologyDrawing, machine: PlannedMachine) -> list[str]:
    """One machine: processors, hubs, lane groups, receptacles; returns the last from top down."""
    title = f"machine {machine.name}, {machine.board_name}"
    root = made.node(("machine", machine.id), title, machine_label(machine))
    for id_, label, fitted in machine.processors:
        box = processor_label(label, id_, made.tones(machine.id, id_), fitted=fitted)
        title = f"processor {label}" + ("" if fitted else ", not fitted")
        name = made.node((machine.id, "from", id_), title, box)
        made.graph.edge(root, name, color=LINE.light, style="solid" if fitted else "dotted")
    for hub in machine.hubs:
        draw_hub(made, machine, hub)
    groups = {one.id: one for one in made.answer.plan.groups if one.machine == machine.id}
    for group in groups.values():
        if stands_alone(group):
            label = group_label(group, made.tones(group.machine, group.processor))
            name = made.node((group.machine, "group", group.id), f"lane group {group.id}", label)
            style = "solid" if group.fitted else "dotted"
            made.graph.edge(lanes_from(made, group), name, penwidth="2.5", style=style)
    column = in_column(made.layout, machine)
    for receptacle in column:
        draw_receptacle(made, receptacle, groups.get(receptacle.group or ""))
    return [made.name(*made.receptacle(receptacle)) for receptacle in column]


def in_column(layout: PlanLayout, machine: PlannedMachine) -> list[PlannedReceptacle]:
    """The board's receptacles from top to bottom: by processor, hub and lane group."""
    order = [id_ for id_, _, _ in machine.processors]
    hubs = [id_ for id_, _, _ in machine.hubs]
    every = [one for one in layout.board(machine.id) if one.form != "opening" or one.item]
    groups = list(dict.fromkeys(receptacle.group for receptacle in every))

    def key(receptacle: PlannedReceptacle) -> tuple[int, int, int]:
        processor, from_ = receptacle.processor, receptacle.from_
        return (
            order.index(processor) if processor in order else len(order),
            hubs.index(from_) + 1 if from_ in hubs else 0,
            groups.index(receptacle.group),
        )

    return merged(sorted(every, key=key))


def draw_hub(made: TopologyDrawing, machine: PlannedMachine, hub: tuple[str, str, str]) -> None:
    """A hub and its shared uplink."""
    id_, above, uplink = hub
    shared = ((one.machine, one.name) for one in made.answer.watch.shared)
    by_name = dict(zip(shared, made.answer.watch.shared, strict=True))
    flow = by_name.get((machine.id, id_))
    short = flow is not None and flow.lost_mb_s > 0
    name = made.node((machine.id, "from", id_), f"hub {id_}", hub_label(id_, flow))
    style = LINES["below" if short else "full"]
    label = label_lines(uplink, *(["not enough"] if short else []))
    made.graph.edge(made.name(machine.id, "from", above), name, label=label, penwidth="3", **style)


def stands_alone(group: PlannedGroup) -> bool:
    """Whether the group is worth a node: something is chosen or divided in it."""
    return group.choice or len(group.division.gives) > 1


def lanes_from(made: TopologyDrawing, group: PlannedGroup) -> str:
    """The node that the group's lanes come from; one that says so where nobody knows."""
    key = (group.machine, "from", group.lanes_from or "")
    if group.lanes_from is not None:
        return made.name(*key)
    tones = made.tones(group.machine, None)
    label = processor_label("not known", "not known", tones, fitted=True)
    return made.node(key, "lanes from nobody knows which processor", label)


def draw_receptacle(
    made: TopologyDrawing, receptacle: PlannedReceptacle, group: PlannedGroup | None
) -> None:
    """A receptacle of the board, with the part in it and all that the part holds."""
    label = receptacle_label(
        made.layout, receptacle, made.tones(receptacle.machine, receptacle.processor)
    )
    title = f"{receptacle.label}: {receptacle.item or receptacle.state}"
    name = made.node(made.receptacle(receptacle), title, label)
    if group is None:
        return
    source = (
        made.name(group.machine, "group", group.id)
        if stands_alone(group)
        else lanes_from(made, group)
    )
    seat = made.layout.seat.get(receptacle.item or "")
    if seat is None:
        arrives = receptacle.gets if receptacle.segments else receptacle.state
        made.graph.edge(source, name, label=label_lines(arrives), **FREE_LINE)
        return
    lanes = sum(link.trains.lanes for link in seat.links)
    label = label_lines(names.link_words(seat), *filter(None, [names.able_words(seat)]))
    width = f"{1 + lanes / 5:g}"
    made.graph.edge(source, name, label=label, penwidth=width, **LINES[names.health(seat)])


def draw_cables(made: TopologyDrawing) -> None:
    """Each cable between two parts as a box beside them; what else hangs on one is in its row."""
    color = f"{INK.light}:{PAPER.light}:{INK.light}"
    receptacle = {one.site: one for one in made.answer.plan.receptacles}
    for cable in made.layout.cables:
        seat: PlannedSeat | None = made.layout.seat[cable.item]
        while seat and (place := receptacle.get(seat.site)) and not place.on_board:
            seat = made.layout.seat.get(place.owner)  # ends at the part in the board's receptacle
        ends = [end for end in cable.to if ("item", end) in made.nodes]
        if seat is None or not [end for end in ends if end != seat.item]:
            continue
        name = made.node(
            ("cable", cable.item), f"cable {names.cable_words(cable)}", cable_label(cable)
        )
        for part in (seat.item, *(end for end in ends if end != seat.item)):
            made.graph.edge(made.name("item", part), name, color=color)


# --- labels ---------------------------------------------------------------------------------------

NAME_CHARACTERS = 34
LEFT, RIGHT = 140, 70
"""Least widths in points; all receptacles alike, so that their edges line up."""
PLAIN_ROW = {"border": "0"}
WIDE = {"align": "left", "border": "0", "colspan": "2", "width": str(LEFT + RIGHT)}


def table(rows: list[str], look: Mapping[str, str] = PLAIN_ROW, **attributes: str) -> str:
    """A label from its rows, each without a border of its own."""
    cells = [cell(row, **look) for row in rows]
    return f"<<TABLE{written(attributes)}>{''.join(cells)}</TABLE>>"


def cell(text: str, **attributes: str) -> str:
    """A row of one cell; one that is a row already stays so."""
    return text if text.startswith("<TR>") else f"<TR><TD{written(attributes)}>{text}</TD></TR>"


def written(attributes: dict[str, str]) -> str:
    """Attributes as text."""
    return "".join(f' {key.upper()}="{value}"' for key, value in attributes.items())


def label_text(text: str) -> str:
    """Escaped for an HTML-like label, where a backslash begins an escape of Graphviz's own."""
    return svg.markup(text).replace("\\", "\\\\")


def small(text: str, tone: Tone = SOFT) -> str:
    """Small print."""
    return f'<FONT POINT-SIZE="9" COLOR="{tone.light}">{label_text(text)}</FONT>'


def bold(text: str, tone: Tone = INK) -> str:
    """A name."""
    return f'<FONT COLOR="{tone.light}"><B>{label_text(text)}</B></FONT>'


AT_LEFT = {"border": "0", "align": "left"}


def machine_label(machine: PlannedMachine) -> str:
    """A machine with its board."""
    rows = [f'<FONT POINT-SIZE="13">{bold(line)}</FONT>' for line in wrap(machine.name, 18, 3)]
    rows += [small(line) for line in wrap(machine.board_name, 24, 4)]
    rows += [small("(invented)")] if machine.invented else []
    box = {"border": "1", "color": LINE.light, "bgcolor": PAPER.light, "cellspacing": "0"}
    return table(rows, AT_LEFT, **box)


def processor_label(label: str, id_: str, tones: tuple[Tone, Tone], *, fitted: bool) -> str:
    """A processor; crossed words and a dashed edge where it is not fitted."""
    line, fill = tones
    rows = [f'<FONT POINT-SIZE="15">{bold(cut(label, 20), line)}</FONT>']
    rows += [small(cut(id_, 24))] if label != id_ else []
    rows += [] if fitted else [small("not fitted", WARN)]
    edge: dict[str, Any] = {
        "border": "2",
        "style": "solid" if fitted else "dashed",
        "color": line.light,
    }
    ground = (fill if fitted else CARD).light
    return table(rows, **edge, bgcolor=ground, cellpadding="6", cellspacing="2")


ROUNDED: dict[str, Any] = {
    "border": "1",
    "style": "rounded",
    "color": INK.light,
    "bgcolor": CARD.light,
}


def hub_label(id_: str, shared: SharedLink | None) -> str:
    """A hub with what flows through its uplink."""
    rows = [bold(cut(id_, 24)), small("shared uplink")]
    if shared:
        rows.append(small(names.flow_text(shared), WARN if shared.lost_mb_s else SOFT))
    return table(rows, **ROUNDED, cellspacing="1")


def group_label(group: PlannedGroup, tones: tuple[Tone, Tone]) -> str:
    """A lane group: its name, and what is chosen in it."""
    line, fill = tones
    division = group.division
    text = division.text if group.choice else ""
    match division.how:
        case "presence":
            words = ["split by what is plugged in"]
        case "jumper":
            words = ["jumper:", *wrap(text, 24, 2)]
        case _:
            words = wrap(text or "nothing to choose", 24, 2)
    rows = [small(f"lane group {cut(group.id, 22)}", line), *map(bold, words)]
    if division.step:
        tone = SOFT if division.step == "stays" else WARN
        rows += [small(one, tone) for one in wrap(step_words(division), 40, 2)]
    if division.proof in (None, "menu-only"):
        rows.append(small("not proven", WARN))
    box = {"border": "1", "color": line.light, "bgcolor": fill.light, "cellspacing": "0"}
    return table(rows, AT_LEFT, **box)


def step_words(division: Division) -> str:
    """`SET, now x16`, `stays`, `must be`: what to do about the choice above."""
    now = f", {names.now_words(division.now)}" if division.step == "set" and division.now else ""
    return names.STEPS[division.step] + now


def receptacle_label(
    layout: PlanLayout, receptacle: PlannedReceptacle, tones: tuple[Tone, Tone]
) -> str:
    """A receptacle, the part in it, and a row for each thing the part holds."""
    line, fill = tones
    *over, last = wrap(receptacle.label, 24, 2)
    head = f"{bold(last, line)}  {small(size_words(receptacle))}"
    rows = [cell(one, bgcolor=fill.light, **WIDE) for one in (*(bold(o, line) for o in over), head)]
    seat = layout.seat.get(receptacle.item or "")
    if seat is None:
        words = receptacle.state + (f": {receptacle.why}" if receptacle.why else "")
        rows += [small(part) for part in wrap(words, 40, 2)]
        look = {"style": "dashed", "color": LINE.light}
    else:
        rows += [*part_rows(seat), *nested_labels(layout, seat.item)]
        look = {"color": line.light, "bgcolor": CARD.light}
    return table(rows, WIDE, **look, border="1", cellspacing="0")


def size_words(receptacle: PlannedReceptacle) -> str:
    """Connector and wiring: `x16 slot, 8 lanes`."""
    size = receptacle.form_title
    if receptacle.form == "cem":
        size = f"x{receptacle.width} slot" if receptacle.width else "slot"
    if not receptacle.lanes_known:
        return f"{size}, lanes not known"
    lanes = receptacle.wired
    return f"{size}, {lanes} lane{'' if lanes == 1 else 's'}" if lanes else f"{size}, no lanes"


def part_rows(seat: PlannedSeat) -> Iterator[str]:
    """The part in a board's receptacle."""
    yield f"{bold(cut(seat.item, NAME_CHARACTERS))}  {small(names.class_words(seat.part_class))}"
    if seat.shared_short_mb_s:
        yield small(f"its link up: {names.gb_s(seat.shared_short_mb_s)} {names.SHORT}", WARN)
    if seat.far:
        yield small(f"far from {cut(seat.near or '', 24)}, which it should be near", WARN)
    if seat.facts:
        many = "s" if seat.facts[1:] else ""
        yield small(f"rests on {len(seat.facts)} unproven fact{many}", WARN)


def nested_labels(layout: PlanLayout, part: str) -> Iterator[str]:
    """Each filled receptacle on a part, and one row for all that are free; deeper ones indented."""
    for places, seat, depth in nested_rows(layout, part):
        indent, state = " " * (2 + 4 * depth), names.health(seat) if seat else None
        bad = state in ("below", "dark")
        if seat is None:
            labels = in_short(place.label for place in places)
            left, right = small(cut(f"{labels}: {places[0].state}", 44)), ""
        else:
            whole = seat.body.companion_of
            called = label_text(cut(f"to {whole}" if whole else seat.item, NAME_CHARACTERS))
            left = f"{small(cut(places[0].label, 14))}  {called}"
            mark = f" ({state})" if bad else ""
            right = small(names.link_words(seat) + mark, WARN if bad else SOFT)
        fill = svg.WARN_FILL if bad else CARD
        look = f'BORDER="1" SIDES="T" COLOR="{LINE.light}" BGCOLOR="{fill.light}"'
        yield (
            f'<TR><TD ALIGN="LEFT" WIDTH="{LEFT}" {look}>{indent}{left}</TD>'
            f'<TD ALIGN="RIGHT" WIDTH="{RIGHT}" {look}>{right}</TD></TR>'
        )


def cable_label(cable: PlannedCable) -> str:
    """A cable: its name, what runs over it, its length."""
    rows = [bold(cut(cable.item, 22)) if cable.named else small("cable"), small(cable.link)]
    rows += [small(f"{cable.reach_mm:g} mm")] if cable.reach_mm else []
    return table(rows, **ROUNDED, cellspacing="0")


def verdict_shown(answer: PlaceAnswer) -> str:
    """The verdict where nothing is placed: a machine without a plan is not to look healthy."""
    return "" if answer.plan.seats else answer.verdict.headline


A_LINE = 90
"""Characters of a line of reasons."""


def legend_label(verdict: str, no_plan: Sequence[str]) -> str:
    """The verdict with its reasons, if any, and what the lines mean, in words."""
    rows = [
        *([bold(f"{verdict}.", WARN)] if verdict else []),
        *(small(line) for text in no_plan for line in lines_of(text, A_LINE)),
        bold("Lines"),
        small("solid: trains at full ability; thicker means more lanes"),
        small("dashed: slower than it could be", WARN),
        small("dotted: no lanes in use; double: a cable"),
        small("dashed box: empty receptacle"),
    ]
    return table(rows, AT_LEFT, border="0", cellspacing="0")
