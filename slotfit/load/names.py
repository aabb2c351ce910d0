"""Names in a build file: which receptacle, part, machine or processor each one means."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from slotfit.load.words import close_to, known_names, listed, quote

Receptacles = frozenset[str] | None
"""An owner's receptacle ids; None if its file is wrong, so that nothing can be said."""


WAYS_OUT = ("machine", "board", "processors", "buy")
"""Words of `untouchable` beside part ids."""


class UnknownNameError(Exception):
    """A name that means nothing here, or more than one thing; the text says what to write."""


@dataclass(frozen=True, slots=True)
class Names:
    """Everything a build file may refer to."""

    machines: Mapping[str, Receptacles]
    processors: Mapping[str, Receptacles]
    """Machine id -> its board's processors."""
    parts: Mapping[str, Receptacles]
    counted: Mapping[str, tuple[str, ...]]
    """Part id in the file -> the parts it stands for: itself, or `id-1` to `id-n`."""
    lost: frozenset[str] = field(default=frozenset())
    """Ids whose description is wrong."""

    def receptacle_id(self, machine: str, receptacle: str) -> str:
        """How a board's receptacle is called: with its machine if there are several."""
        return receptacle if len(self.machines) == 1 else f"{machine}/{receptacle}"

    def parts_named(self, name: str) -> tuple[str, ...]:
        """The parts a part name stands for; none if its description is wrong."""
        if name in self.counted:
            return self.counted[name]
        if name in self.parts:
            return (name,)
        if name in self.lost:
            return ()
        raise UnknownNameError(f"there is no part {name}{known_names(name, self.counted)}")

    def machine_named(self, name: str) -> tuple[str, ...]:
        """The machine; raises if there is none."""
        if name not in self.machines and name not in self.lost:
            hint = known_names(name, self.machines)
            raise UnknownNameError(f"there is no machine {name}{hint}")
        return (name,)

    def machine_or_parts_named(self, name: str) -> tuple[str, ...]:
        """The machine or the parts a name means."""
        if name in self.machines:
            return (name,)
        try:
            return self.parts_named(name)
        except UnknownNameError:
            known = known_names(name, [*self.machines, *self.counted])
            raise UnknownNameError(f"there is no machine or part {name}{known}") from None

    def machine_of(self, receptacle: str) -> str | None:
        """The machine on whose board a receptacle is; None on a part or an old machine."""
        owner, slash, _ = receptacle.rpartition("/")
        if not slash:
            return next(iter(self.machines))
        return owner if owner in self.machines else None

    def receptacles_named(self, name: str, machine: str | None = None) -> tuple[str, ...]:
        """
        The receptacles a receptacle's name means: one, or one for each of several alike parts.

        None if a description that is wrong would have to say. `machine` is where the part must go.
        """
        owner, slash, receptacle = name.rpartition("/")
        if not slash:
            return self.board_receptacles(receptacle, machine)
        if owner in self.machines:
            known = self.receptacle_known(owner, receptacle, self.machines[owner])
            return (self.receptacle_id(owner, receptacle),) if known else ()
        if owner not in self.parts and owner not in self.counted and owner not in self.lost:
            owners = [*self.machines, *self.counted]
            raise UnknownNameError(
                f"there is no machine or part {owner}{known_names(owner, owners)}"
            )
        return tuple(
            f"{part}/{receptacle}"
            for part in self.parts_named(owner)
            if self.receptacle_known(part, receptacle, self.parts[part])
        )

    def receptacle_known(self, owner: str, receptacle: str, known: Receptacles) -> bool:
        if known is None:
            return False
        if receptacle not in known:
            if not known:
                raise UnknownNameError(f"{owner} has no receptacles")
            hint = known_names(receptacle, known)
            raise UnknownNameError(f"{owner} has no receptacle {receptacle}{hint}")
        return True

    def board_receptacles(self, receptacle: str, machine: str | None) -> tuple[str, ...]:
        """A name without an owner is a receptacle of a board."""
        only = machine if machine in self.machines else None
        boards = {name: known for name, known in self.machines.items() if only in (None, name)}
        homes = [name for name, known in boards.items() if known and receptacle in known]
        if len(homes) > 1:
            ways = listed(f"{home}/{receptacle}" for home in homes)
            raise UnknownNameError(f"{receptacle} is on several boards; write {ways}")
        if homes:
            return (self.receptacle_id(homes[0], receptacle),)
        if any(known is None for known in boards.values()):
            return ()
        if receptacle in (*self.counted, *self.parts):
            return self.on_part(receptacle)
        raise UnknownNameError(f"there is no receptacle {receptacle}{self.likely(receptacle)}")

    def on_part(self, name: str) -> tuple[str, ...]:
        """A part's name where a receptacle is expected means any of its receptacles."""
        parts = self.parts_named(name)
        receptacles = [f"{part}/{one}" for part in parts for one in sorted(self.parts[part] or ())]
        if not receptacles and all(self.parts[part] is not None for part in parts):
            raise UnknownNameError(f"{name} is a part and has no receptacles")
        return tuple(receptacles)

    def likely(self, receptacle: str) -> str:
        """What a receptacle's name may stand for: one on a board, or one on a part."""
        on_boards = {name for known in self.machines.values() for name in known or ()}
        homes = [part for part, known in self.parts.items() if known and receptacle in known]
        if receptacle in self.machines:
            return f", that is a machine; write `machine: {receptacle}`"
        if homes:
            return f"; write {listed(f'{home}/{receptacle}' for home in homes)}"
        return known_names(receptacle, on_boards)

    def processor_named(self, name: str, machine: str | None = None) -> tuple[str, ...]:
        """
        `cpu0` in a build of one machine.

        With several machines `machine/cpu0`, or `cpu0` as it stands if no machine is named: then
        it means that processor of whichever machine the part goes to.
        """
        owner, slash, processor = name.rpartition("/")
        owner = owner if slash else (machine or "")
        if slash:
            self.machine_named(owner)
        boards = [self.processors[owner]] if owner in self.processors else self.processors.values()
        known = {one for names in boards for one in names or ()}
        if processor not in known and all(names is not None for names in boards):
            hint = known_names(processor, sorted(known))
            raise UnknownNameError(f"there is no processor {processor}{hint}")
        named = owner in self.processors and len(self.machines) > 1
        return (f"{owner}/{processor}" if named else processor,)

    def today_named(self, name: str) -> tuple[str, ...]:
        """Where a part sits today: a receptacle here, or `old-machine/slot` as it stands."""
        owner, slash, _ = name.rpartition("/")
        if slash and owner not in (*self.machines, *self.parts, *self.counted, *self.lost):
            return (name,)
        try:
            return self.receptacles_named(name)
        except UnknownNameError as error:
            if slash:
                raise
            raise UnknownNameError(
                f"{error} (on a machine that is not in this file: old-machine/{name})"
            ) from None

    def way_out(self, name: str) -> tuple[str, ...]:
        """One entry of `untouchable`: a word, or the parts a part's name stands for."""
        if name in WAYS_OUT:
            return (name,)
        try:
            return self.parts_named(name)
        except UnknownNameError:
            hint = close_to(name, [*WAYS_OUT, *self.counted])
            text = f"expected a part or one of {listed(WAYS_OUT)}, not {quote(name)}{hint}"
            raise UnknownNameError(text) from None
