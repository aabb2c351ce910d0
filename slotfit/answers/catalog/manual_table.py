"""A manual's slot table as a board's file: each line with what was made of it, none guessed."""

from __future__ import annotations

import csv
import re
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from slotfit.answers.catalog.manual_words import Entry, understand
from slotfit.answers.text_layout import joined
from slotfit.load.edit import flow_text

ROLES: tuple[tuple[str, re.Pattern[str]], ...] = tuple(
    (role, re.compile(words))
    for role, words in (
        ("size", r"physical|mechanical|connector (?:size|type|length)|slot size"),
        ("lanes", r"electrical|lanes|wired|link width|signal"),
        ("generation", r"^gen|generation|version"),
        ("from", r"^cpu$|source|from|origin|processor|attached|connected|controller|root"),
        ("name", r"slot|name|connector|designation|label|socket|location|port"),
    )
)
"""What a column holds, by its heading; any other is read as words."""
PREFIX = {
    "size": ("", " physical"), "lanes": ("", " electrical"), "from": ("from ", ""),
    "generation": ("gen ", ""), "name": ("", ""),
}  # fmt: skip
EMPTY = ("", "-", "--", "—", "n/a", "none")
BULLET = re.compile(r"^\s*(?:[-*•]|\d+[.)])\s+")
NAMED = re.compile(
    r"((?:(?:cpu\d?[ _])?slot[ _#]?\d+|pci-?ex?\d+(?:_\d+)?|m\.?2[_ -]?[a-z]?\d*|m2\w+|riser ?\d*|"
    r"oculink\d*|u2_\d+|mcio_?\d+|j\d+)\b)",
    re.IGNORECASE,
)


def entries_in(text: str) -> list[Entry]:
    """Every line that says something, with the name that it begins with."""
    lines = [line for line in text.replace("\r", "").split("\n") if line.strip()]
    made = [*in_columns(lines)] or [of_line(line) for line in lines]
    made = with_notes(made)
    names = [entry.name for entry in made if entry.name]
    for entry in made:
        understand(entry, names)
        if not entry.name or names.count(entry.name) > 1:
            entry.left = f"{entry.left} (no name of its own)".strip()
    return made


NOTE = re.compile(
    r"\W*(?:when|if) (?:the )?(?P<other>[\w. ]+?) "
    r"(?P<filled>(?:is )?(?:populated|occupied|in use|used|installed)),? (?P<name>[\w. ]+?) "
    r"(?P<what>(?:runs|drops|operates|works|switches) (?:at|to|in) x ?\d+(?: mode)?|is disabled)"
    r"\.?",
    re.IGNORECASE,
)


def with_notes(entries: Sequence[Entry]) -> list[Entry]:
    """Lines that say of one receptacle what another does to it go to the one they speak of."""
    known = {one.name.lower(): one for one in entries if one.name}
    kept = []
    for one in entries:
        found = NOTE.fullmatch(one.line)
        home = known.get(found.group("name").lower()) if found else None
        if found is None or home is None or home is one:
            kept.append(one)
            continue
        home.text += f", {found.group('what')} when {found.group('other')} {found.group('filled')}"
        home.line += f" | {one.line}"
    return kept


def in_columns(lines: Sequence[str]) -> Iterator[Entry]:
    """Rows below a heading, in Markdown or with commas, semicolons or tabs between; else none."""
    piped = [line for line in lines if line.count("|") >= 2]
    if len(piped) > 1:
        rows = [[cell.strip() for cell in line.strip().strip("|").split("|")] for line in piped]
        rows = [row for row in rows if not all(re.fullmatch(r":?-*:?", cell) for cell in row)]
        yield from (Entry(line.strip(), "", line) for line in lines if line not in piped)
    else:
        mark = next((m for m in "\t;," if all(m in line for line in lines)), None)
        if mark is None or len(lines) < 2:
            return
        rows = [[cell.strip() for cell in row] for row in csv.reader(lines, delimiter=mark)]
    roles = [role_of(cell) for cell in rows[0]]
    if "name" not in roles or any(len(row) != len(roles) for row in rows):
        return
    yield from (of_cells(rows[0], roles, row) for row in rows[1:])


def role_of(heading: str) -> str:
    plain = heading.lower().strip("* ")
    return next((role for role, words in ROLES if words.search(plain)), "")


def of_cells(headings: Sequence[str], roles: Sequence[str], row: Sequence[str]) -> Entry:
    """One row: each cell with the word that its heading stands for."""
    at = roles.index("name")
    said = []
    for place, (role, cell) in enumerate(zip(roles, row, strict=True)):
        if place == at or cell.lower() in EMPTY:
            continue
        before, after = PREFIX.get(role, ("", ""))
        plain = cell.lower().removeprefix(before) if before == "gen " else cell
        said.append(f"{before}{bare(plain) if role in ('size', 'lanes') else plain}{after}")
    line = "; ".join(f"{head}: {cell}" for head, cell in zip(headings, row, strict=True))
    return Entry(line, clean_name(row[at]), "; ".join(said))


def bare(cell: str) -> str:
    """`16` in a column of widths is `x16`."""
    return f"x{cell}" if cell.isdigit() else cell


def clean_name(text: str) -> str:
    return " ".join(text.strip("*` ").split())


def of_line(line: str) -> Entry:
    """A line of words: its name comes first, up to a colon, a dash or a comma."""
    plain = BULLET.sub("", line).strip()
    found = re.match(r"([^:,;–—(]{1,30}?)\s*(?::|,|;|–|—| - |\()", plain)
    named = NAMED.match(plain)
    if found and re.search(r"\d|slot|m\.2", found.group(1), re.IGNORECASE):
        name = found.group(1)
        rest = plain[len(name) :]
        if named and named.group(1) != name:
            name, rest = named.group(1), plain[len(named.group(1)) :]
    elif named:
        name, rest = named.group(1), plain[named.end() :]
    else:
        name, rest = "", plain
    return Entry(line.strip(), clean_name(name), rest.strip(" :,;–—-"))


KEYS = ("width", "from", "generation", "lanes", "open_end", "bracket", "power_w", "drive_lengths")
OF_LANES = ("from", "generation", "lanes")


class Table:
    """What the lines say together: who shares lanes with whom."""

    def __init__(self, entries: Sequence[Entry]) -> None:
        self.entries = entries
        self.known = {one.name.lower(): one for one in entries if one.is_understood}
        self.ids = ids_of([one.name for one in self.known.values()])
        numbers = {str(one.facts["from"]) for one in self.known.values() if "from" in one.facts}
        self.numbers = sorted(int(text[4:]) for text in numbers if text.startswith("cpu "))
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
        return "cpu0" if told == "cpu" and not self.numbers else None

    @property
    def processors(self) -> list[dict[str, str]]:
        """As many as the lines count; where none is numbered, one."""
        if not self.numbers:
            return [{"id": "cpu0"}]
        first = 0 if 0 in self.numbers else 1
        every = range(first, self.numbers[-1] + 1)
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
    table = Table(entries_in(text))
    return HEAD + joined(written(table))


def written(table: Table) -> Iterator[str]:
    yield "processors:" + (
        "" if table.numbers else "  # no line numbers them: one, unless you know"
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
    return "".join(c if c.isprintable() else " " for c in text)[:300]
