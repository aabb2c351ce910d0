"""Which receptacle of the running machine is which receptacle of the plan."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Hashable, Iterable, Sequence
from typing import TypeVar

from slotfit.read.merge.designation import hints_of
from slotfit.read.merge.machine import ReceptacleSeen
from slotfit.verify.planned import PlannedSite

Side = TypeVar("Side", PlannedSite, ReceptacleSeen)
Key = Hashable | None


def places_of(
    sites: Sequence[PlannedSite], seen: Sequence[ReceptacleSeen]
) -> dict[str, ReceptacleSeen]:
    """
    Site -> receptacle, by the printed name, by the port's address, by the slot's number.

    Only what is the same on both sides and unique on each is taken; the rest stays unknown.
    """
    found: dict[str, ReceptacleSeen] = {}
    left_sites, left_seen = list(sites), list(seen)
    for of_site, of_seen in KEYS:
        ours = _unique(left_sites, of_site)
        theirs = _unique(left_seen, of_seen)
        for key in ours.keys() & theirs.keys():
            found[ours[key].site] = theirs[key]
        taken = {id(one) for one in found.values()}
        left_sites = [one for one in left_sites if one.site not in found]
        left_seen = [one for one in left_seen if id(one) not in taken]
    return found


def _unique(things: Iterable[Side], key: Callable[[Side], Key]) -> dict[Key, Side]:
    """Key -> thing, for keys that only one has."""
    keyed = [(key(one), one) for one in things]
    counts = Counter(name for name, _ in keyed)
    return {name: one for name, one in keyed if name is not None and counts[name] == 1}


def _plain(text: str) -> str:
    """Letters and digits alone: `SLOT 1`, `Slot_1` and `slot1` are one name."""
    return "".join(letter for letter in text.casefold() if letter.isalnum())


def _label(site: PlannedSite) -> Key:
    return _plain(site.label) or None


def _printed(seen: ReceptacleSeen) -> Key:
    return _plain(seen.label) or None


def _id(site: PlannedSite) -> Key:
    return _plain(site.id) or None


def _port_named(site: PlannedSite) -> Key:
    return site.label.casefold()


def _port(seen: ReceptacleSeen) -> Key:
    return str(seen.ports[0].address) if len(seen.ports) == 1 else None


def _number(site: PlannedSite) -> Key:
    number = hints_of(site.label).number or hints_of(site.id).number
    return (_family(site.form), number) if number is not None else None


def _numbered(seen: ReceptacleSeen) -> Key:
    """The number in its name, else the one that its record or its port carries."""
    number = hints_of(seen.label).number
    if number is None:
        ids = {record.slot_id for record in seen.records if record.slot_id}
        ids = ids or {port.slot_number for port in seen.ports if port.slot_number}
        number = ids.pop() if len(ids) == 1 else None
    return (_family(seen.form or "cem"), number) if number is not None else None


def _family(form: str) -> str:
    return "m2" if form.startswith("m2") else "cem" if form in ("cem", "unknown") else "other"


KEYS: tuple[tuple[Callable[[PlannedSite], Key], Callable[[ReceptacleSeen], Key]], ...] = (
    (_label, _printed),
    (_id, _printed),
    (_port_named, _port),
    (_number, _numbered),
)
"""Ways to tell, the surest first."""
