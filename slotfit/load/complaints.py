"""A place to gather what is wrong with entities that are already read."""

from __future__ import annotations

from collections.abc import Iterable

from slotfit.errors import Mistake
from slotfit.load.hints import known_names
from slotfit.load.written import Written, loc_of, path_text
from slotfit.model.entity import Entity


class Complaints:
    """Mistakes found so far in what one file describes."""

    def __init__(
        self,
        written: Written,
        lost: frozenset[str] = frozenset(),
        mistakes: list[Mistake] | None = None,
    ) -> None:
        self.written = written
        self.lost = lost
        """Ids whose description is wrong: naming one is no further mistake."""
        self.mistakes = [] if mistakes is None else mistakes

    def add(self, entity: Entity, field_path: str, text: str) -> None:
        """`field_path` is the way from the entity to what is wrong, such as `only[1]`."""
        itself, where = entity.span(), entity.span(field_path)
        path = path_text(loc_of(self.written, where))
        if where == itself:  # the field is not written, or it is the first one
            path = f"{path}.{field_path}".strip(".")
        self.mistakes.append(Mistake(where or self.written.file, path, text))

    def name(
        self, entity: Entity, field_path: str, name: str, known: Iterable[str], kind: str
    ) -> bool:
        """Whether `name` is known; complains if not."""
        names = set(known)
        if name in names or name in self.lost:
            return True
        text = f"there is no {kind} {name}{known_names(name, names)}"
        self.add(entity, field_path, text)
        return False

    def unique(self, entities: Iterable[tuple[str, Entity]], kind: str) -> None:
        """Complain of every id that two entities share."""
        first: dict[str, Entity] = {}
        for name, entity in entities:
            if name not in first:
                first[name] = entity
                continue
            span = first[name].span("id")
            there = f" (line {span.line})" if span else ""
            self.add(entity, "id", f"two {kind} are called {name}{there}; give each its own id")
