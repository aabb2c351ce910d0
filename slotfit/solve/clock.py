"""Time left for one answer, shared by all the solves that go into it."""

from __future__ import annotations

import time
from dataclasses import dataclass, field

from slotfit.solve.engine import Manner, Model, Result, Solution, solve


@dataclass
class Clock:
    """Runs out after `seconds`, or at Ctrl-C."""

    seconds: float
    began: float = field(default_factory=time.monotonic)
    stopped: bool = False
    """Ctrl-C came."""

    @property
    def left(self) -> float:
        """Seconds left; 0 if there are none."""
        if self.stopped:
            return 0.0
        return max(0.0, self.seconds - (time.monotonic() - self.began))

    @property
    def spent(self) -> float:
        """Seconds since it began."""
        return time.monotonic() - self.began

    def solve(self, model: Model, manner: Manner = Manner.YES_OR_NO) -> Solution:
        """Solve within the time left; "unknown" if there is none."""
        if not self.left:
            return Solution(Result.UNKNOWN)
        found = solve(model, self.left, manner)
        self.stopped = self.stopped or found.interrupted
        return found
