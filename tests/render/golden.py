"""Finished answers kept as files: compared byte for byte, rewritten with --update."""

from __future__ import annotations

import difflib
from pathlib import Path

GOLDEN = Path(__file__).parent / "golden"


def compare(name: str, made: str, *, update: bool) -> None:
    """The made text is the kept one; with `update` it becomes so."""
    file = GOLDEN / name
    if update:
        file.write_text(made, "utf-8", newline="\n")
        return
    kept = file.read_text("utf-8")
    if made != kept:
        lines = difflib.unified_diff(
            kept.splitlines(), made.splitlines(), f"golden/{name}", "made now", lineterm="", n=1
        )
        shown = "\n".join(line[:300] for line in list(lines)[:40])
        raise AssertionError(f"{name} has changed; pytest --update rewrites it\n{shown}")
