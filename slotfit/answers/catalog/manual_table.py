"""A manual's slot table as a board's file: each line with what was made of it, none guessed."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from slotfit.answers.catalog.manual_lines import entries_in
from slotfit.answers.catalog.manual_words import CPU, Entry
from slotfit.answers.text_layout import joined
from slotfit.load.edit import flow_text

NUMBERED = re.compile(rf"(?<![a-z]){CPU} ?#?([0-7])\b(?! ?[-.]?(?:\d|x\b|pin|lane|fan|phase))")
"""A processor that any line counts, whether or not the line was understood."""
KEYS = ("width", "from", "generation", "lanes", "open_end", "bracket", "power_w", "drive_lengths")
OF_LANES = ("from", "generation", "lanes")


class SlotTable:
    """What the lines say together: who shares lanes with whom."""

    def __init__(self, entries: Sequence[Entry]) -> None:
        self.entries = entries
        self.known = {one.name.lower(): one for one in entries if one.is_understood}
        self.ids = ids_of([one.name for one in self.known.values()])
        spoken = " / ".join(one.line.lower() for one in entries)
        told = {str(one.facts.get("from", "")).partition("cpu ")[2] for one in self.known.values()}
        self.numbers = sorted({int(n) for n in {*told, *NUMBERED.findall(spoken)} if n})
        self.has_second = bool(re.search(rf"\b(?:second|2nd) {CPU}", spoken))
        self.open: dict[str, str] = {}
        """Receptacle -> why its lanes are left open."""
        self.groups: list[dict[str, Any]] = []
        for entry in entries:
            if not entry.is_understood:
                self.doubt(entry)
        for entry in self.known.values():
            self.relate(entry)
        self.groups = [
            group
            for group in self.groups
            if not any(name in self.open for way in group["arrangements"] for name in way["gives"])
        ]

    def relate(self, entry: Entry) -> None:
        """A lane group for what it shares, where that is said whole; else its lanes stay open."""
        others = [*entry.narrower, *entry.dark]
        silent = [name for name in entry.shares if not self.told_by(name, entry)]
        if not (others or silent or entry.or_sata):
            return
        if silent or len(others) + entry.or_sata > 1 or "lanes" not in entry.facts:
            self.leave_open(entry, [*others, *silent])
        elif entry.or_sata:
            ways = [self.gives(entry), {self.ids[entry.name]: ["sata"]}]
            self.add(entry, [entry], ways)
        else:
            self.share(entry, others[0])

    def share(self, entry: Entry, name: str) -> None:
        """Lanes that go to another receptacle once that is filled."""
        other = self.known.get(name)
        if other is None or "lanes" not in other.facts or other.or_sata:
            self.leave_open(entry, [name])
        elif entry.dark:
            self.add(entry, [entry, other], [self.gives(entry), self.gives(other)])
        elif entry.narrower[name] + int(str(other.facts["lanes"])) != entry.facts["lanes"]:
            self.leave_open(entry, [name])
        else:
            both = {self.ids[entry.name]: [entry.narrower[name]], **self.gives(other)}
            self.add(entry, [entry, other], [self.gives(entry), both])

    def doubt(self, entry: Entry) -> None:
        """What a line speaks of that was not understood: it may take lanes away."""
        for name, one in self.known.items():
            if re.search(rf"(?<!\w){re.escape(name)}(?!\w)", entry.line.lower()):
                self.open[self.ids[one.name]] = "another line speaks of it, and was not understood"

    def told_by(self, name: str, entry: Entry) -> bool:
        """Whether the other one says how the two share."""
        other = self.known.get(name)
        told = (*other.narrower, *other.dark) if other else ()
        return entry.name.lower() in told

    def leave_open(self, entry: Entry, others: Sequence[str]) -> None:
        names = [entry, *(self.known[name] for name in others if name in self.known)]
        for one in names:
            self.open[self.ids[one.name]] = "it shares lanes, and which gets what is not said whole"

    def gives(self, entry: Entry) -> dict[str, list[Any]]:
        return {self.ids[entry.name]: [entry.facts["lanes"]]}

    def add(
        self, entry: Entry, members: Sequence[Entry], ways: Sequence[Mapping[str, Any]]
    ) -> None:
        """The group, unless its members hang on different things or are in another already."""
        ids = [self.ids[one.name] for one in members]
        taken = {n for group in self.groups for way in group["arrangements"] for n in way["gives"]}
        origins = {self.origin(one) for one in members}
        if taken.intersection(ids) or len(origins) > 1:
            for name in {*ids, *(taken if taken.intersection(ids) else ())}:
                self.open[name] = "what its lanes are shared with is not said in one way"
            return
        group: dict[str, Any] = {"id": "-".join(ids)[:60]}
        if (origin := self.origin(entry)) is not None:
            group["from"] = origin
        generations = {one.facts.get("generation") for one in members}
        if len(generations) == 1 and None not in generations:
            group["generation"] = generations.pop()
        group["arrangements"] = [
            {"gives": dict(way), "chosen_by": "presence", "proof": "documented"} for way in ways
        ]
        self.groups.append(group)

    def origin(self, entry: Entry) -> str | None:
        """The processor; of a chipset nobody has said the link up, which a hub needs."""
        told = str(entry.facts.get("from", ""))
        if told.startswith("cpu "):
            return f"cpu{int(told[4:]) - (0 if 0 in self.numbers else 1)}"
        return "cpu0" if told == "cpu" and len(self.processors) == 1 else None

    @property
    def processors(self) -> list[dict[str, str]]:
        """As many as the lines count; where none is numbered, one."""
        if not self.numbers:
            return [{"id": f"cpu{n}"} for n in range(1 + self.has_second)]
        first = 0 if 0 in self.numbers else 1
        every = range(first, max(self.numbers[-1], first + self.has_second) + 1)
        return [{"id": f"cpu{n - first}", "label": f"CPU{n}"} for n in every]

    def fields(self, entry: Entry) -> dict[str, Any]:
        """What is written of one receptacle."""
        name = self.ids[entry.name]
        found: dict[str, Any] = {"id": name, "label": entry.name, "form": entry.facts["form"]}
        grouped = any(name in way["gives"] for g in self.groups for way in g["arrangements"])
        for key in KEYS:
            value = self.origin(entry) if key == "from" else entry.facts.get(key)
            apart = key in OF_LANES and (grouped or (name in self.open and key == "lanes"))
            if value is not None and not apart:
                found[key] = list(value) if isinstance(value, tuple) else value
        return found

    def remarks(self, entry: Entry) -> Iterator[str]:
        """What could not be written."""
        name = self.ids[entry.name]
        if name in self.open:
            yield f"lanes: {self.open[name]}: write a lane group"
        if entry.facts.get("from") == "chipset":
            yield "from: the chipset: add it under `hubs` with its link up, then name it here"
        elif "from" in entry.facts and self.origin(entry) is None:
            yield "from: a processor, and not said which"


def ids_of(names: Sequence[str]) -> dict[str, str]:
    """Name -> an id of its own."""
    found: dict[str, str] = {}
    for name in names:
        stem = re.sub(r"[^a-z0-9_.]+", "-", name.lower()).strip("-._") or "slot"
        stem = stem if stem[0].isalpha() else f"slot-{stem}"
        number, wanted = 1, stem[:40]
        while wanted in found.values():
            number += 1
            wanted = f"{stem[:36]}-{number}"
        found[name] = wanted
    return found


HEAD = """\
# From a manual's table: each line stands above what was made of it. Nothing is guessed: what was
# not understood is listed at the end, and what it may change is for you to write in.
kind: board
id: my-board
name: My board
"""


def board_from_table(text: str) -> str:
    """The board's file. A line of which one word is not understood makes no receptacle."""
    table = SlotTable(entries_in(text))
    return HEAD + joined(written(table))


def written(table: SlotTable) -> Iterator[str]:
    yield "processors:" + (
        "" if table.numbers else "  # no line counts them: as many as are spoken of"
    )
    yield from (f"  - {flow_text(one)}" for one in table.processors)
    if table.groups:
        yield "lane_groups:"
        yield from (f"  - {flow_text(group)}" for group in table.groups)
    made = [one for one in table.entries if one.is_understood]
    yield "receptacles:" if made else "receptacles: []"
    for entry in made:
        yield f"  # {comment(entry.line)}"
        yield f"  - {flow_text(table.fields(entry))}"
        yield from (f"    # {text}" for text in table.remarks(entry))
    yield "sources:"
    yield '  receptacles: "the manual\'s slot table, page ..."'
    if table.groups:
        yield '  lane_groups: "the manual\'s slot table, page ..."'
    left = [one for one in table.entries if not one.is_understood]
    if left:
        yield "# Not understood, so nothing was made of it:"
    for entry in left:
        why = entry.left or " and ".join(entry.clashes) or "which connector it is"
        yield f"#   {comment(entry.line)}"
        yield f"#     ({comment(why)})"


def comment(text: str) -> str:
    """One line that a comment may hold."""
    return "".join(c if c.isprintable() else " " for c in text)
