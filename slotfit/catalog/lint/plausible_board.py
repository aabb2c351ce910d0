"""Figures of a board that the published tables make unlikely."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.catalog.lint.remark import Remark
from slotfit.load.hints import listed
from slotfit.load.splits import named
from slotfit.model.board import Board, BoardReceptacle
from slotfit.standards import cem
from slotfit.standards.forms import FORMS
from slotfit.standards.m2 import LENGTHS_MM, SIZE_TABLE

MOST_W = max(row.power_w for row in cem.SLOT_POWER)


def implausible_board(board: Board, file: str) -> Iterator[Remark]:
    """What no receptacle of that form can be."""
    for one in board.receptacles:
        for field, text in (*slot(one), *m2(one), *rate(one), *short_splits(one)):
            where = one.span(field) or file
            yield Remark("implausible", where, f"{one.id}: {field}", text)


def slot(one: BoardReceptacle) -> Iterator[tuple[str, str]]:
    if one.form != "cem":
        return
    if one.width is not None and one.width not in cem.CONNECTORS:
        sizes = listed(f"x{lanes}" for lanes in cem.CONNECTOR_LANES)
        yield "width", f"a slot is {sizes} long, never x{one.width} ({cem.OUTLINE})"
    most = (
        cem.slot_power_limit_w(1, low_profile=False, graphics=False) if one.width == 1 else MOST_W
    )
    if one.power_w is not None and one.power_w > most:
        size = f"an x{one.width} slot" if one.width else "a slot"
        yield "power_w", f"{one.power_w:g} W; {size} gives {most:g} W at most ({cem.POWER})"


def m2(one: BoardReceptacle) -> Iterator[tuple[str, str]]:
    odd = [mm for mm in one.drive_lengths or () if mm not in LENGTHS_MM]
    if odd:
        lengths = listed(map(str, LENGTHS_MM))
        yield (
            "drive_lengths",
            f"{listed(map(str, odd), 'and')}: modules are {lengths} mm ({SIZE_TABLE})",
        )


def rate(one: BoardReceptacle) -> Iterator[tuple[str, str]]:
    form = FORMS[one.form]
    newest = form.max_generation
    if one.bus == "pcie" and newest is not None and (one.generation or 0) > newest:
        yield (
            "generation",
            f"PCIe {one.generation} through {form.title}, good for {newest} ({form.source})",
        )


def short_splits(one: BoardReceptacle) -> Iterator[tuple[str, str]]:
    """A division that leaves wired lanes unused is usually a label read wrongly."""
    for number, split in enumerate(one.splits or ()):
        total = sum(named(split.split))
        if one.lanes is not None and total < one.lanes:
            text = f"{split.split} uses {total} of the {one.lanes} lanes that are wired"
            yield f"splits[{number}]", f"{text}; is one of the two a slip?"
