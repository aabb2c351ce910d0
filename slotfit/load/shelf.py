"""Parts of the catalog that have receptacles of their own, found without parsing the others."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Sequence
from pathlib import Path

from slotfit.errors import InputError
from slotfit.load.catalog import Catalog
from slotfit.load.file_text import read_bytes
from slotfit.model.part import Part
from slotfit.standards.forms import FORMS, plug_fits

CARRIER = re.compile(rb"^class:[ \t]*carrier\b", re.MULTILINE)
CLASS = re.compile(rb"^class:[ \t]*(carrier|adapter|riser)\b", re.MULTILINE)
FORM = re.compile(rb"""\bform["']?[ \t]*:[ \t]*["']?([a-z0-9-]+)""")
"""As YAML or JSON writes it."""


DRIVE_FORMS = ("m2-m", "m2-b", "u2", "u3", "e1s", "e1l", "e3s", "e3l")
"""Sockets a drive goes into without a cable."""


class Shelf:
    """What could stand between a board and a drive or card."""

    def __init__(self, catalog: Catalog) -> None:
        self.catalog = catalog

    def parts(self, form: str, count: int) -> Iterator[Part]:
        """
        Carriers, adapters and risers with at least `count` receptacles of a form, by id.

        A file whose text names the form less often is not parsed; one with mistakes is left out.
        """
        for name, path in sorted(self.catalog.paths.items()):
            text = text_in(path)
            if not CLASS.search(text) or forms_in(text)[form] < count:
                continue
            part = self.catalog.look_up(name, Part)
            if part.entity is not None and not part.mistakes:
                own = [one for one in part.entity.receptacles if one.form == form]
                if len(own) >= count and not part.entity.extra_plugs:
                    yield part.entity

    def carriers(self, forms: Sequence[str]) -> Iterator[Part]:
        """Carriers of drives by id; where drives are named, those with a socket for each."""
        for name, path in sorted(self.catalog.paths.items()):
            if not CARRIER.search(text_in(path)):
                continue
            part = self.catalog.look_up(name, Part)
            found = part.entity
            if found is None or part.mistakes or not takes(found, forms):
                continue
            if any(one.form in DRIVE_FORMS for one in found.receptacles):
                yield found


def text_in(path: Path) -> bytes:
    """What a file says, for a first look; nothing where it cannot be read."""
    try:
        return read_bytes(path, path.name)
    except InputError:  # no description: `catalog lint` says what is wrong with it
        return b""


def forms_in(text: bytes) -> Counter[str]:
    """How often a file's text names each form of receptacle: at least as often as it has one."""
    named = map(bytes.decode, FORM.findall(text))
    return Counter(form for form in named if form in FORMS)


def takes(part: Part, forms: Sequence[str]) -> bool:
    """Whether every one of these plugs finds a socket of the part that takes it."""
    return all(any(plug_fits(form, one.form) for one in part.receptacles) for form in forms)
