"""Where the catalog that came with slotfit lies on disk."""

from pathlib import Path

PACKAGE = Path(__file__).resolve().parent


def catalog_root() -> Path:
    """
    The folder that holds `boards/`, `cards/`, `drives/` and the other kinds of catalog file.

    An installed wheel carries it inside the package; a checkout, editable installs included, has
    it at its top.  Raises FileNotFoundError if it is in neither place.
    """
    for folder in (PACKAGE / "_catalog", PACKAGE.parent / "catalog"):
        if folder.is_dir():
            return folder
    raise FileNotFoundError(
        f"no catalog beside {PACKAGE}: the installation is incomplete; install slotfit again"
    )
