"""Where the command begins: everything else is loaded once Ctrl-C is listened for."""

from __future__ import annotations

import atexit
import gc
import os
import signal
import sys
from importlib import import_module
from types import FrameType, ModuleType
from typing import Any, NoReturn

STOPPED = 130
"""128 and the number of SIGINT, as shells count."""


MANY_OBJECTS = 500_000
"""Garbage is looked for when so many objects are new: starting up makes many and keeps them all."""


def start_quickly() -> None:
    """
    Leave out what a short run has no use for.

    Garbage is looked for rarely, and not at all at the end, when everything goes. Pydantic's
    plugins are not looked for.
    """
    gc.set_threshold(MANY_OBJECTS)
    atexit.register(gc.freeze)
    sys.modules.setdefault(NoPlugins.STANDS_FOR, NoPlugins(NoPlugins.STANDS_FOR))


class NoPlugins(ModuleType):
    """
    Stands for the module with which pydantic looks for plugins.

    That loads the reader of packages' metadata, which takes a tenth of a short run, even where an
    environment variable says that there are none. Should it ever be asked for more, it is loaded.
    """

    STANDS_FOR = "pydantic.plugin._loader"

    @staticmethod
    def get_plugins() -> tuple[()]:
        """None."""
        return ()

    def __getattr__(self, name: str) -> Any:
        if name.startswith("__"):
            raise AttributeError(name)
        del sys.modules[self.STANDS_FOR]
        return getattr(import_module(self.STANDS_FOR), name)


LEAVES_MORE = frozenset({"multiprocessing", "ortools"})
"""What may still have something to do at the end, such as waiting for its processes."""


def leave(code: str | int | None) -> NoReturn:
    """
    End at once where nothing is left to do.

    The interpreter would take apart piece by piece whatever was loaded, for as long as reading a
    description takes; the system takes it back in one go.
    """
    if LEAVES_MORE.isdisjoint(sys.modules) and not isinstance(code, str):
        for stream in (sys.stdout, sys.stderr):
            if stream is not None:
                stream.flush()
        os._exit(code or 0)
    sys.exit(code)


def run() -> None:
    """Start the command line; the console script's entry."""
    came: list[int] = []

    def interrupted(number: int, frame: FrameType | None) -> None:  # noqa: ARG001 - as called
        came.append(number)
        raise KeyboardInterrupt

    try:
        signal.signal(signal.SIGINT, interrupted)
        start_quickly()
        from slotfit.cli.main import run as begin  # noqa: PLC0415 - takes a while to load

        begin()
        leave(0)
    except SystemExit as end:
        if not came or end.code != STOPPED:
            leave(end.code)
    except BaseException:
        # In the midst of loading a library Ctrl-C comes out as that library's failure.
        if not came:
            raise
    print("stopped before there was anything to tell", file=sys.stderr)
    sys.exit(STOPPED)
