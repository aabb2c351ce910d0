"""What could be bought: the catalog's entries, each kind read when it is first asked for."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cached_property

from slotfit.load.catalog import Catalog
from slotfit.load.shelf import forms_in, text_in
from slotfit.model.board import Board
from slotfit.model.machine import Chassis, PowerSupply
from slotfit.model.part import Part

CLASS_LINE = re.compile(rb"^class:[ \t]*[\"']?([a-z-]+)", re.MULTILINE)


@dataclass(frozen=True)
class Shop:
    """The catalog, as a shop."""

    catalog: Catalog

    def parts(self, *classes: str) -> tuple[Part, ...]:
        """Every part of these classes that can be read, by id; other files are not parsed."""
        names = [name for one in classes for name in self.by_class.get(one, ())]
        found = (self.catalog.look_up(name, Part) for name in sorted(names))
        return tuple(one.entity for one in found if one.entity)

    @cached_property
    def by_class(self) -> dict[str, list[str]]:
        """Class -> ids, from each file's own `class:` line."""
        found: dict[str, list[str]] = {}
        for name in self.catalog.ids(Part):
            line = CLASS_LINE.search(text_in(self.catalog.path(name)))
            if line:
                found.setdefault(line.group(1).decode("ascii"), []).append(name)
        return found

    def boards(self, enough: Callable[[Counter[str]], bool]) -> Iterator[Board]:
        """Boards by id whose files name forms of receptacles `enough`; others are not parsed."""
        for name in self.catalog.ids(Board):
            if enough(forms_in(text_in(self.catalog.path(name)))):
                board = self.catalog.look_up(name, Board).entity
                if board:
                    yield board

    @cached_property
    def chassis(self) -> tuple[Chassis, ...]:
        """Every chassis, by id."""
        return tuple(one.entity for one in self.catalog.every(Chassis) if one.entity)

    @cached_property
    def supplies(self) -> tuple[PowerSupply, ...]:
        """Every power supply, by id."""
        return tuple(one.entity for one in self.catalog.every(PowerSupply) if one.entity)
