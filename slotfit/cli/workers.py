"""Worker processes as an executor of the standard interface, and Ctrl-C in the midst of them."""

from __future__ import annotations

import multiprocessing
import os
import signal
import sys
import threading
from collections.abc import Iterator
from concurrent.futures import Executor, ProcessPoolExecutor
from contextlib import contextmanager
from types import FrameType

from slotfit.solve.engine import Stop


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


def serve() -> None:
    """A worker process begins: Ctrl-C is its parent's to answer, and it does not outlive that."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    threading.Thread(target=end_with_parent, daemon=True).start()


def end_with_parent() -> None:
    """Waits for the parent's end, however that comes, and then ends this process at once."""
    parent = multiprocessing.parent_process()
    if parent is not None:
        parent.join()
        os._exit(1)


LAST_S = 2.0
"""So long the pool is waited for once its processes are gone."""


@contextmanager
def workers(count: int) -> Iterator[Executor | None]:
    """
    So many processes, ended at once when the work is left off; None where one would do.

    Forked where that is safe, as it saves each of them half a second of imports.
    """
    if count < 2:
        yield None
        return
    context = multiprocessing.get_context("fork" if forks_safely() else "spawn")
    before = set(threading.enumerate())
    pool = ProcessPoolExecutor(count, mp_context=context, initializer=serve)
    try:
        yield pool
    finally:
        for process in multiprocessing.active_children():
            process.terminate()
        # Its processes gone, the pool ends what is left by itself. Cancelled tasks among that have
        # it fail (CPython 3.11), and then it is waited for in vain.
        pool.shutdown(wait=False)
        # The interpreter's end would wake the pool's thread just as it closes what wakes it.
        for thread in set(threading.enumerate()) - before:
            thread.join(LAST_S)


def forks_safely() -> bool:
    """A forked child inherits threads half alive, such as a solver's; and not all systems fork."""
    return sys.platform == "linux" and threading.active_count() == 1
