"""Pictures named on the command line."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import Literal

from slotfit.answers.place.answer import View
from slotfit.draw.picture import topology_svg, write_row, write_topology
from slotfit.draw.slot_row import slot_row_svg
from slotfit.draw.topology import topology
from slotfit.errors import InputError, Mistake
from slotfit.files import why_not_writable

What = Literal["row", "topology", "sheet", "table"]

ENDINGS: dict[What, tuple[str, ...]] = {
    "row": (".svg", ".png"),
    "topology": (".svg", ".png", ".dot"),
    "sheet": (".html", ".htm"),
    "table": (".csv",),
}


def check_targets(files: Iterable[Path], what: What) -> None:
    """Before anything is worked out: every wrong ending and missing folder. Raises InputError."""
    known = ENDINGS[what]
    wrong = []
    for file in files:
        if file.suffix.lower() not in known:
            wrong.append(Mistake(str(file), "", f"write a name that ends in {' or '.join(known)}"))
        elif not file.parent.is_dir():
            wrong.append(Mistake(str(file), "", f"there is no folder {file.parent}"))
        elif file.is_dir():
            wrong.append(Mistake(str(file), "", "is a folder; name a file in it"))
        elif reason := why_not_writable(file):
            wrong.append(Mistake(str(file), "", reason))
    if wrong:
        raise InputError(wrong)


def write_pictures(view: View, files: Iterable[Path]) -> None:
    """One topology picture a file, in the format its ending names."""
    for file in files:
        write_picture(view, file, "topology")


def write_picture(
    view: View, file: Path, what: What, stand: Literal["flat", "tower"] = "flat"
) -> None:
    """One picture in the format that the file's ending names."""
    if what == "topology":
        write_topology(view, file)
    else:
        write_row(view, file, stand)


def picture_text(view: View, what: What, stand: Literal["flat", "tower"]) -> str:
    """The picture as SVG."""
    if what == "topology":
        return topology_svg(topology(view))

    return slot_row_svg(view, stand)
