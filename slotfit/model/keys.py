"""What lane groups and shared links are called where several machines are in play."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, order=True)
class GroupKey:
    """A lane group of one machine; as text, in answers and messages, `machine/group`."""

    machine: str
    group: str

    def __str__(self) -> str:
        return f"{self.machine}/{self.group}"


@dataclass(frozen=True, slots=True, order=True)
class HubKey:
    """A hub of one machine, for its link upwards; as text `machine/hub`."""

    machine: str
    hub: str

    def __str__(self) -> str:
        return f"{self.machine}/{self.hub}"


Node = str | HubKey
"""What has a link upwards that others share: a part, by its id, or a hub of a board."""
