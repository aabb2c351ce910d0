"""Worker processes, as an executor of the standard interface."""

from __future__ import annotations

import multiprocessing
import sys
import threading
from collections.abc import Iterator
from concurrent.futures import Executor, ProcessPoolExecutor
from contextlib import contextmanager

from slotfit.cli.stopping import deaf

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
    pool = ProcessPoolExecutor(count, mp_context=context, initializer=deaf)
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
