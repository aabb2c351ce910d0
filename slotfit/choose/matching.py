"""A quick word on whether parts can all have receptacles of their own, before any solving."""

from __future__ import annotations

from collections.abc import Mapping, Sequence


def all_seated(sites: Mapping[str, Sequence[str]]) -> bool:
    """
    Whether each part can have one of its receptacles with no two in the same one.

    If not, no plan exists; if so, there may still be none. Augmenting paths, one part after another
    (Kuhn 1955).

    >>> all_seated({"hba": ["slot1"], "nic": ["slot1", "slot2"]})
    True
    >>> all_seated({"hba": ["slot1"], "nic": ["slot1"]})
    False
    """
    holder: dict[str, str] = {}

    def makes_room(part: str, seen: set[str]) -> bool:
        for site in sites[part]:
            if site not in seen:
                seen.add(site)
                if site not in holder or makes_room(holder[site], seen):
                    holder[site] = part
                    return True
        return False

    return all(makes_room(part, set()) for part in sites)
