"""What a shared catalog says of itself."""

from typing import Annotated, Literal

from pydantic import StringConstraints

from slotfit.model.entity import Entity
from slotfit.model.words import Id, Line

PATH = r"^\w[\w.+-]*(/\w[\w.+-]*)?$"
SHA256 = r"^[0-9a-f]{64}$"

SharedPath = Annotated[str, StringConstraints(pattern=PATH, max_length=170)]
"""A file of it: `cards/my-card.yaml`, in the folder itself or in a folder of it."""

Checksum = Annotated[str, StringConstraints(pattern=SHA256)]
"""SHA-256 of a file, as `sha256sum` prints it."""


class Manifest(Entity):
    """The file MANIFEST at the top of a shared catalog."""

    kind: Literal["catalog"] = "catalog"
    """What the file describes."""
    id: Id
    """The name under which the catalog is kept."""
    name: Line | None = None
    """What to call it; left out, its id."""
    licence: Line
    """Under which all its files may be used and passed on, such as `CC0-1.0`."""
    files: dict[SharedPath, Checksum]
    """Every file of it -> its checksum."""
