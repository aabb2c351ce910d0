"""Worker processes, as an executor of the standard interface."""

from __future__ import annotations

import multiprocessing
from collections.abc import Iterator
from concurrent.futures import Executor, ProcessPoolExecutor
from contextlib import contextmanager

from slotfit.cli.stopping import deaf


@contextmanager
def workers(count: int) -> Iterator[Executor | None]:
    """
    So many processes, ended at once when the work is left off; None where one would do.

    Spawned, not forked: a forked child would inherit the solver's threads half alive.
    """
    if count < 2:
        yield None
        return
    pool = ProcessPoolExecutor(
        count, mp_context=multiprocessing.get_context("spawn"), initializer=deaf
    )
    try:
        yield pool
    finally:
        for process in multiprocessing.active_children():
            process.terminate()
        pool.shutdown(wait=False, cancel_futures=True)
