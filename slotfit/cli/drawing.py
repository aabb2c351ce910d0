"""Files to write that are named on the command line."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import Literal

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
