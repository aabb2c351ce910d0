"""
Errors a user may see. Each carries data and words itself; none is shown as a traceback.

SlotfitError
├── InputError      mistakes in files or arguments (exit 2)
└── InternalError   slotfit contradicts itself (exit 70, as whatever else is caught nowhere)
"""

from collections.abc import Iterable
from dataclasses import dataclass

from slotfit.model.entity import Span

UNSEEN = (
    *range(0x20), *range(0x7F, 0xA0), 0x061C, 0x200E, 0x200F, *range(0x2028, 0x202F),
    *range(0x2066, 0x206A), 0xFEFF,
)  # fmt: skip
"""
Characters that a terminal obeys in place of showing them: controls (ECMA-48), marks that turn or
end a line (Unicode annex 9, Bidi_Control), the byte order mark.
"""

SHOWN = {code: f"\\u{code:04x}" for code in UNSEEN}
"""How a name or an argument with such characters is shown."""


class SlotfitError(Exception):
    """Base of all; anything else that reaches a user is a bug."""


@dataclass(frozen=True, slots=True)
class Mistake:
    """One thing wrong in what was given, and what to write instead."""

    where: Span | str
    """A place in a file, or the file or argument itself."""
    path: str
    """The field, such as `receptacles[2].width`; empty for the whole file."""
    text: str

    def __str__(self) -> str:
        parts = (str(self.where), self.path, self.text)
        return ": ".join(part for part in parts if part).translate(SHOWN)


class InputError(SlotfitError):
    """Everything wrong with what was given, all at once."""

    def __init__(self, mistakes: Iterable[Mistake]) -> None:
        self.mistakes = tuple(mistakes)
        super().__init__(self.mistakes)

    def __str__(self) -> str:
        return "\n".join(str(mistake) for mistake in self.mistakes)


class InternalError(SlotfitError):
    """Two parts of slotfit disagree; no answer is given."""
