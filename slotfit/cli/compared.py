"""A comparison on its way out: printed, drawn, written."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

from slotfit.cli.exits import BAD_INPUT, NO, OUT_OF_TIME

if TYPE_CHECKING:
    from slotfit.render.compare.view import Comparison


def check_files(draw: Path | None, output: Path | None, csv: Path | None) -> None:
    """Before anything is worked out: wrong endings and missing folders. Raises InputError."""
    from slotfit.cli.drawing import check_targets  # noqa: PLC0415

    check_targets([draw] if draw else [], "row")
    check_targets([output] if output else [], "sheet")
    check_targets([csv] if csv else [], "table")


def show(
    comparison: Comparison,
    *,
    json: bool,
    draw: Path | None,
    output: Path | None,
    csv: Path | None,
) -> None:
    """Print it, and write what was asked for; boards that could not be tried are said aloud."""
    from slotfit.render.as_json import as_json  # noqa: PLC0415
    from slotfit.render.compare.text import as_text  # noqa: PLC0415
    from slotfit.render.compare.view import UNTRIED  # noqa: PLC0415
    from slotfit.written import write_file  # noqa: PLC0415

    print(as_json(comparison) if json else as_text(comparison), end="")
    for board in comparison.boards:
        if board.mistake not in ("", UNTRIED):
            print(f"{board.name} could not be tried:\n{board.mistake}", file=sys.stderr)
    if csv:
        from slotfit.render.compare.as_csv import as_csv  # noqa: PLC0415

        write_file(csv, as_csv(comparison))
    if draw:
        from slotfit.render.compare.picture import write_boards  # noqa: PLC0415

        write_boards(comparison, draw)
    if output:
        from slotfit.render.compare.page import as_page  # noqa: PLC0415

        write_file(output, as_page(comparison))


def exit_code(comparison: Comparison) -> int:
    """0: some board takes everything. 1: none does. 2: none could be tried. 3: out of time."""
    if any(board.complete for board in comparison.boards):
        return OUT_OF_TIME if comparison.stopped else 0
    if comparison.stopped:
        return OUT_OF_TIME
    if all(board.mistake for board in comparison.boards):
        return BAD_INPUT
    return NO if any(board.view or board.missing for board in comparison.boards) else OUT_OF_TIME
