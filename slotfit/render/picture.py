"""Pictures as files."""

from __future__ import annotations

from pathlib import Path

from slotfit.render.view import View


def write_topology(view: View, file: Path) -> None:
    """Placeholder until the drawing stands."""
    raise NotImplementedError
