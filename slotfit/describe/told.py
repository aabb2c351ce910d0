"""One value with where it comes from."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Generic, TypeVar

from slotfit.read.merge.machine import Claim, Fact
from slotfit.read.seen import Where

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Told(Generic[T]):
    """A value, and its basis in words; `assumed` where nothing that was read says it."""

    value: T
    basis: str
    assumed: bool = False


def assumed(value: T, why: str) -> Told[T]:
    """A value that nothing says."""
    return Told(value, f"assumed: {why}", assumed=True)


class Places:
    """Names places in the sources as the user knows them: without the folders above a source."""

    def __init__(self, sources: Sequence[Path] = ()) -> None:
        tops = {f"{path.parent}/" for path in sources if str(path.parent) not in ("", ".")}
        self._tops = tuple(sorted(tops, key=len, reverse=True))

    def short(self, text: str) -> str:
        """Any text that names files, with their folders left out."""
        for top in self._tops:
            text = text.replace(top, "")
        return text

    def at(self, where: Where) -> str:
        """One place."""
        return self.short(str(where))

    def claim(self, claim: Claim[T]) -> str:
        """`slot data bus width, dmi.txt:12`."""
        return f"{claim.basis}, {self.at(claim.where)}"

    def told(self, fact: Fact[T]) -> Told[T] | None:
        """What is believed of a fact, with what was said against it; None if nobody says."""
        if not fact.claims:
            return None
        chosen = fact.claims[0]
        text = self.claim(chosen)
        for other in fact.against:
            text += f"; not {other.value} ({self.claim(other)})"
        return Told(chosen.value, text + (f": {fact.why}" if fact.against and fact.why else ""))
