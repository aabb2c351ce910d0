"""A build's references: to the catalog, to a file, or to a description written in place."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path

from slotfit.errors import Mistake
from slotfit.load.catalog import Catalog
from slotfit.load.entities import Described, Outcome
from slotfit.load.hints import quote
from slotfit.load.whole import read_whole
from slotfit.load.written import Loc, Map, Written, loc_of, path_text, span_at, steps_of, value_at
from slotfit.model.entity import Entity


@dataclass
class References:
    """The references of one build file; what is wrong behind them is gathered in `mistakes`."""

    written: Written
    catalog: Catalog
    beside: Path
    """The folder that paths in the file are relative to."""
    mistakes: list[Mistake] = field(default_factory=list)

    def follow(self, entity: Entity, key: str, model: type[Described]) -> Outcome[Described]:
        """What the field `key` of an entity refers to."""
        loc = loc_of(self.written, entity.span())
        is_needed = type(entity).model_fields[key].is_required()
        outcome = self.at((*loc, key), model, is_needed=is_needed)
        self.mistakes += outcome.mistakes
        return outcome

    def at(self, loc: Loc, model: type[Described], *, is_needed: bool) -> Outcome[Described]:
        if any(loc[: len(spoiled)] == spoiled for spoiled in self.written.spoiled):
            return Outcome(None)
        value = value_at(self.written.root, loc)
        if steps_of(self.written.root, loc) != loc:
            return Outcome(None)
        if value is None and not is_needed:
            return Outcome(None)
        if isinstance(value, Map):
            return read_whole(model, self.written, loc)
        where = (span_at(self.written, loc), path_text(loc))
        if isinstance(value, str) and value:
            return self.catalog.look_up(value, model, self.beside, where)
        text = f"expected a catalog id, a file or a description, not {quote(value)}"
        return Outcome(None, [Mistake(*where, text)])
