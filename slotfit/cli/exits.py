"""
Exit codes: 0 yes; 1 the answer is no, or findings; 2 bad input; 3 out of time; 70 a bug.

And as shells count signals: 130 stopped before there was an answer, 141 nobody reads the output.
"""

from __future__ import annotations

NO = 1
BAD_INPUT = 2
OUT_OF_TIME = 3
BUG = 70
"""EX_SOFTWARE of sysexits.h."""
UNREAD = 141
"""128 and the number of SIGPIPE, which ends most programs there: no answer, as it was not read."""
