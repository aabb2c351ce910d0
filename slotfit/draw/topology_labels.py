"""The boxes of the topology, as Graphviz's HTML-like labels."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.answers.place.answer import HopView, MachineView, SeatView
from slotfit.answers.place.cables import CableView, Nesting, class_words, health, link_words
from slotfit.answers.place.layout import GroupView, ReceptacleView
from slotfit.answers.text_layout import gb_s
from slotfit.draw.svg import CARD, INK, LINE, PAPER, SOFT, WARN, WARN_FILL, Tone, cut, markup, wrap
from slotfit.listing import in_short

NAME_CHARACTERS = 34
DEEPEST = 6
LEFT, RIGHT = 140, 70
"""Least widths in points; all receptacles alike, so that their edges line up."""
BOX = {"border": "1", "cellspacing": "0"}
WIDE = {"align": "left", "border": "0", "colspan": "2", "width": str(LEFT + RIGHT)}


def table(rows: list[str], **attributes: str) -> str:
    """A label from its rows."""
    written = "".join(f' {key.upper()}="{value}"' for key, value in attributes.items())
    return f"<<TABLE{written}>{''.join(rows)}</TABLE>>"


def cell(text: str, **attributes: str) -> str:
    """A row of one cell."""
    written = "".join(f' {key.upper()}="{value}"' for key, value in attributes.items())
    return f"<TR><TD{written}>{text}</TD></TR>"


def label_text(text: str) -> str:
    """Escaped for an HTML-like label, where a backslash begins an escape of Graphviz's own."""
    return markup(text).replace("\\", "\\\\")


def small(text: str, tone: Tone = SOFT) -> str:
    """Small print."""
    return f'<FONT POINT-SIZE="9" COLOR="{tone.light}">{label_text(text)}</FONT>'


def bold(text: str, tone: Tone = INK) -> str:
    """A name."""
    return f'<FONT COLOR="{tone.light}"><B>{label_text(text)}</B></FONT>'


def machine_label(machine: MachineView) -> str:
    """A machine with its board."""
    rows = [f'<FONT POINT-SIZE="13">{bold(line)}</FONT>' for line in wrap(machine.name, 18, 3)]
    rows += [small(line) for line in wrap(machine.board_name, 24, 4)]
    if machine.invented:
        rows.append(small("(invented)"))
    return table(
        [cell(row, border="0", align="left") for row in rows],
        border="1",
        color=LINE.light,
        bgcolor=PAPER.light,
        cellspacing="0",
    )


def processor_label(label: str, id_: str, tones: tuple[Tone, Tone], *, fitted: bool) -> str:
    """A processor; crossed words and a dashed edge where it is not fitted."""
    line, fill = tones
    rows = [cell(f'<FONT POINT-SIZE="15">{bold(cut(label, 20), line)}</FONT>', border="0")]
    if label != id_:
        rows.append(cell(small(cut(id_, 24)), border="0"))
    if not fitted:
        rows.append(cell(small("not fitted", WARN), border="0"))
    return table(
        rows,
        border="2",
        style="solid" if fitted else "dashed",
        color=line.light,
        bgcolor=fill.light if fitted else CARD.light,
        cellpadding="6",
        cellspacing="2",
    )


def hub_label(id_: str, hop: HopView | None) -> str:
    """A hub with what flows through its uplink."""
    rows = [cell(bold(cut(id_, 24)), border="0"), cell(small("shared uplink"), border="0")]
    if hop:
        flow = f"{gb_s(max(hop.in_mb_s, hop.out_mb_s))} of {gb_s(hop.capacity_mb_s)} GB/s"
        rows.append(cell(small(flow, WARN if hop.short_mb_s else SOFT), border="0"))
    return table(
        rows, border="1", style="rounded", color=INK.light, bgcolor=CARD.light, cellspacing="1"
    )


def group_label(group: GroupView, tones: tuple[Tone, Tone]) -> str:
    """A lane group: its name, and what is chosen in it."""
    line, fill = tones
    rows = [cell(small(f"lane group {cut(group.id, 22)}", line), border="0", align="left")]
    match group.how:
        case "presence":
            words = ["split by what is plugged in"]
        case "jumper":
            words = ["jumper:", *wrap(group.setting or "", 24, 2)]
        case _:
            words = wrap(group.setting or "nothing to choose", 24, 2)
    rows += [cell(bold(word), border="0", align="left") for word in words]
    if group.changes and group.how != "presence":
        rows.append(cell(small("CHANGE THIS", WARN), border="0", align="left"))
    if group.proof in (None, "menu-only"):
        rows.append(cell(small("not proven", WARN), border="0", align="left"))
    return table(rows, border="1", color=line.light, bgcolor=fill.light, cellspacing="0")


def receptacle_label(nesting: Nesting, receptacle: ReceptacleView, tones: tuple[Tone, Tone]) -> str:
    """A receptacle, the part in it, and a row for each thing the part holds."""
    line, fill = tones
    *over, last = wrap(receptacle.label, 24, 2)
    head = f"{bold(last, line)}  {small(size_words(receptacle))}"
    rows = [
        cell(text, bgcolor=fill.light, **WIDE) for text in (*(bold(o, line) for o in over), head)
    ]
    seat = nesting.seat.get(receptacle.item or "")
    if seat is None:
        words = receptacle.state + (f": {receptacle.why}" if receptacle.why else "")
        rows += [cell(small(part), **WIDE) for part in wrap(words, 40, 2)]
        return table(rows, style="dashed", color=LINE.light, **BOX)
    rows += part_rows(seat)
    rows += nested_rows(nesting, seat.item, 0)
    return table(rows, color=line.light, bgcolor=CARD.light, **BOX)


def size_words(receptacle: ReceptacleView) -> str:
    """Connector and wiring: `x16 slot, 8 lanes`."""
    if receptacle.form == "cem":
        size = f"x{receptacle.width} slot" if receptacle.width else "slot"
    else:
        size = receptacle.form_title
    if not receptacle.lanes_known:
        return f"{size}, lanes not known"
    lanes = receptacle.wired
    return f"{size}, {lanes} lane{'' if lanes == 1 else 's'}" if lanes else f"{size}, no lanes"


def part_rows(seat: SeatView) -> Iterator[str]:
    """The part in a board's receptacle."""
    kind = small(class_words(seat.part_class))
    yield cell(f"{bold(cut(seat.item, NAME_CHARACTERS))}  {kind}", **WIDE)
    notes = []
    if seat.shared_short_mb_s:
        notes.append(f"its link up is {gb_s(seat.shared_short_mb_s)} GB/s short")
    if seat.far:
        notes.append(f"far from {cut(seat.near or '', 24)}, which it should be near")
    if seat.facts:
        notes.append(f"rests on {len(seat.facts)} unproven fact{'s' if seat.facts[1:] else ''}")
    for note in notes:
        yield cell(small(note, WARN), **WIDE)


def nested_rows(nesting: Nesting, item: str, depth: int) -> Iterator[str]:
    """Each filled receptacle on a part, and one row for all that are free."""
    free = []
    for receptacle, seat in nesting.below(item):
        if seat is None:
            if receptacle.form not in ("cooling-mount", "opening"):
                free.append(receptacle)
            continue
        yield nested_row(receptacle, seat, depth)
        if depth < DEEPEST and not (seat.body and seat.body.companion_of):
            yield from nested_rows(nesting, seat.item, depth + 1)
    for state in dict.fromkeys(receptacle.state for receptacle in free):
        names = in_short(r.label for r in free if r.state == state)
        words = small(cut(f"{names}: {state}", 44))
        yield pair(indent(depth) + words, "", CARD)


def nested_row(receptacle: ReceptacleView, seat: SeatView, depth: int) -> str:
    """One part on a part: its socket and name, and its link."""
    state = health(seat)
    fill, tone = (WARN_FILL, WARN) if state in ("below", "dark") else (CARD, SOFT)
    name = (
        f"{small(cut(receptacle.label, 14))}  {label_text(cut(shown_name(seat), NAME_CHARACTERS))}"
    )
    mark = {"below": " (below)", "dark": " (dark)"}.get(state, "")
    return pair(indent(depth) + name, small(link_words(seat) + mark, tone), fill)


def shown_name(seat: SeatView) -> str:
    """A further connection of a part reads as a cable to it."""
    whole = seat.body.companion_of if seat.body else None
    return f"to {whole}" if whole else seat.item


def indent(depth: int) -> str:
    """Deeper parts stand further right."""
    return " " * (2 + 4 * depth)


def pair(left: str, right: str, fill: Tone) -> str:
    """A row of two cells under a hair line."""
    attributes = f'BORDER="1" SIDES="T" COLOR="{LINE.light}" BGCOLOR="{fill.light}"'
    return (
        f'<TR><TD ALIGN="LEFT" WIDTH="{LEFT}" {attributes}>{left}</TD>'
        f'<TD ALIGN="RIGHT" WIDTH="{RIGHT}" {attributes}>{right}</TD></TR>'
    )


def cable_label(cable: CableView) -> str:
    """A cable: its name, what runs over it, its length."""
    rows = [bold(cut(cable.item, 22)) if cable.named else small("cable"), small(cable.link)]
    if cable.reach_mm:
        rows.append(small(f"{cable.reach_mm:g} mm"))
    return table(
        [cell(row, border="0") for row in rows],
        border="1",
        style="rounded",
        color=INK.light,
        bgcolor=CARD.light,
        cellspacing="0",
    )


def legend_label() -> str:
    """What the lines mean, in words."""
    rows = [
        bold("Lines"),
        small("solid: trains at full ability; thicker means more lanes"),
        small("dashed: below its ability", WARN),
        small("dotted: no lanes in use; double: a cable"),
        small("dashed box: empty receptacle"),
    ]
    return table([cell(row, border="0", align="left") for row in rows], border="0", cellspacing="0")
