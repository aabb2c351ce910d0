"""Files are written whole or not at all."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

from slotfit.errors import InputError, Mistake


def write_file(file: Path, content: str | bytes) -> None:
    """
    Write through a file beside it that then takes its name; text as UTF-8.

    Raises InputError, naming the file, where it cannot be written; nothing is left behind.
    """
    data = content.encode() if isinstance(content, str) else content
    try:
        if file.is_dir():
            raise IsADirectoryError(21, "it is a folder")
        if file.exists() and not file.is_file():
            file.write_bytes(data)  # a device or a pipe (/dev/stdout) keeps its name
            return
        _replace(file, data)
    except OSError as error:
        reason = error.strerror or str(error)
        raise InputError([Mistake(str(file), "", f"cannot be written: {reason}")]) from error


def why_not_writable(file: Path) -> str:
    """Why nothing can be written there, before there is anything to write; empty if it can be."""
    try:
        if not file.exists() or file.is_file():
            tempfile.TemporaryFile(dir=Path(os.path.realpath(file)).parent).close()
    except OSError as error:
        return f"cannot be written: {error.strerror or error}"
    return ""


def _replace(file: Path, data: bytes) -> None:
    """Write beside the file (the end of a link, if it is one) and rename."""
    real = Path(os.path.realpath(file))
    handle, name = tempfile.mkstemp(dir=real.parent, prefix=f".{real.name[:40]}.")
    try:
        with os.fdopen(handle, "wb") as stream:
            stream.write(data)
            os.fchmod(stream.fileno(), mode_for(real))
        Path(name).replace(real)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise


def mode_for(file: Path) -> int:
    """The permissions it has, or those a new file gets."""
    if file.exists():
        return file.stat().st_mode & 0o7777
    mask = os.umask(0)
    os.umask(mask)
    return 0o666 & ~mask


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
