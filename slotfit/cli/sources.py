"""What a machine says of itself, as an argument of commands."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from collections.abc import Sequence

    from slotfit.read.merge import MachineSeen
    from slotfit.read.seen import Reading

STANDARD_INPUT = Path("/dev/stdin")
Sources = Annotated[
    list[Path],
    typer.Argument(
        help="The tar of `slotfit collect`, a /sys folder or a copy of one, the text of lspci -vv, "
        "lspci -xxxx or dmidecode, a binary SMBIOS table; several of one machine together; - "
        "for standard input.",
        show_default=False,
    ),
]


def machine_seen(sources: Sequence[Path]) -> MachineSeen:
    """The one machine that the sources speak of. Raises InputError if they say nothing of any."""
    from slotfit.errors import InputError, Mistake  # noqa: PLC0415
    from slotfit.read.merge import join, readings_of  # noqa: PLC0415

    readings: list[Reading] = []
    mistakes: list[Mistake] = []
    for source in sources:
        try:
            readings += readings_of(STANDARD_INPUT if str(source) == "-" else source)
        except OSError as error:
            reason = error.strerror or str(error)
            mistakes.append(Mistake(str(source), "", f"cannot be read: {reason}"))
    if mistakes:
        raise InputError(mistakes)
    seen = join(readings)
    if not (seen.receptacles or seen.functions or seen.boards or seen.processors):
        said = [f"{note.text} ({note.where})" for note in seen.notes]
        text = "; ".join(said) or "nothing in it speaks of slots, boards or devices; was it root?"
        raise InputError([Mistake(", ".join(map(str, sources)), "", text)])
    return seen
