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
    """A hub of one machine, for its uplink; as text `machine/hub`."""

    machine: str
    hub: str

    def __str__(self) -> str:
        return f"{self.machine}/{self.hub}"


Node = str | HubKey
"""What has an uplink that others share: a part, by its id, or a hub of a board."""


def short_name(node: Node) -> str:
    """The id alone: a reader knows the machine."""
    return node.hub if isinstance(node, HubKey) else node


@dataclass(frozen=True, slots=True)
class LinkKey:
    """A link that can run short; as text `part`, or `node upwards` of one that several share."""

    node: Node
    shared: bool = False
    """The uplink of all that hangs there; else the part's own links together."""

    def __str__(self) -> str:
        return f"{self.node} upwards" if self.shared else str(self.node)
