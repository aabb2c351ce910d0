"""Pictures named on the command line."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from slotfit.render.view import View


def write_pictures(view: View, files: Iterable[Path]) -> None:
    """One topology picture a file, in the format its ending names."""
    for file in files:
        from slotfit.render.picture import write_topology  # noqa: PLC0415 - only where drawn

        write_topology(view, file)
