"""The exit code of a command that plans."""

from __future__ import annotations

from slotfit.cli.exits import NO, OUT_OF_TIME
from slotfit.model.status import Status

EXIT = {
    Status.PROVEN: 0,
    Status.UNPROVEN: OUT_OF_TIME,
    Status.IMPOSSIBLE: NO,
    Status.UNKNOWN: OUT_OF_TIME,
}
