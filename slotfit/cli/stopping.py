"""Ctrl-C in the middle of several tasks: it ends them all, and what is done by then counts."""

from __future__ import annotations

import signal
from collections.abc import Iterator
from contextlib import contextmanager
from types import FrameType

from slotfit.choose.stop import Stop


@contextmanager
def told_of_ctrl_c(stop: Stop) -> Iterator[None]:
    """
    `stop` is asked for at Ctrl-C before the interrupt is raised.

    A solver at work takes the interrupt for the end of its own task and keeps its best answer;
    only this tells the loop around it that no further task is wanted.
    """
    before = signal.getsignal(signal.SIGINT)

    def interrupted(number: int, frame: FrameType | None) -> None:
        stop.asked = True
        if callable(before):
            before(number, frame)
        raise KeyboardInterrupt

    signal.signal(signal.SIGINT, interrupted)
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before)


def deaf() -> None:
    """For worker processes: Ctrl-C is the main process' to answer."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
