"""Why lanes are dark, as data: a receptacle that gets none, a link that finds none."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

WORDS: Mapping[str, str] = {
    "no lanes": "{receptacle} has no lanes",
    "absent": "{processor} is not fitted",
    "set": "with {setting!r} chosen {receptacle} gets no lanes",
    "some class": "which processor is fitted is not said, and with some {receptacle} gets no lanes",
    "divided": "while lanes are divided as {gets}, {receptacle} gets none",
    "mount": "it has no lanes",
    "carrier dark": "{carrier} itself has no link",
    "unwired": "no lanes are wired to it",
    "wire inside": "its lanes start at lane {lane}, inside the x{lanes} segment that starts at "
    "lane {start}: the slot is not split there",
    "wire beyond": "its lanes start at lane {lane} and only {arrive} arrive",
    "nothing": "no lanes arrive here",
    "one bus": "{buses} arrives here, not {bus}",
    "buses": "{buses} arrive here, not {bus}",
    "link inside": "lane {lane} lies inside the x{lanes} segment that starts at lane {start}, and "
    "a link only starts at a segment's first lane",
    "gap": "nothing arrives at lane {lane}",
    "one lane": "only lane 0 arrives here, and it starts at lane {lane}",
    "link beyond": "only lanes 0 to {last} arrive here, and it starts at lane {lane}",
}
"""Case -> a clause that fits after "because"."""


@dataclass(frozen=True, slots=True)
class Dark:
    """One reason; equal ones are equal values."""

    case: str
    values: tuple[tuple[str, Any], ...] = ()

    def __str__(self) -> str:
        return WORDS[self.case].format_map(dict(self.values))


def dark(case: str, **values: Any) -> Dark:
    """The reason with its values."""
    return Dark(case, tuple(values.items()))
