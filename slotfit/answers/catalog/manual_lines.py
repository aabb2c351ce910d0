"""The lines of a manual's slot table: what each speaks of, and in which words."""

from __future__ import annotations

import csv
import re
from collections.abc import Callable, Sequence

from slotfit.answers.catalog.manual_words import EMPHASIS, FACT, Entry, is_name, understand

ROLES: tuple[tuple[str, re.Pattern[str]], ...] = tuple(
    (role, re.compile(words))
    for role, words in (
        ("size", r"physical|\bmech|connector (?:size|type|length)|slot size"),
        ("lanes", r"electr|\bel\b|lanes|wired|link width|signal"),
        ("generation", r"\bgen\b|generation|^(?:pci.*|link )?version"),
        ("from", r"^cpu$|source|from|origin|processor|attached|connected|controller|root"),
        (
            "name",
            r"^(?!.*\btype\b).*(?:slot|name|connector|designation|label|socket|location|port)",
        ),
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
    every = [line if re.search(r"\w", line) else "" for line in text.replace("\r", "").split("\n")]
    made = in_columns(unwrapped(every, is_deeper))
    made = made or [of_line(line) for line in unwrapped(every, is_amid)]
    made = with_notes(made)
    names = [entry.name for entry in made if entry.name]
    for entry in made:
        understand(entry, names)
        if not is_name(entry.name) or names.count(entry.name) > 1:
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


def in_columns(lines: Sequence[str]) -> list[Entry]:
    """Rows below a heading, in Markdown or with commas, semicolons or tabs between; else none."""
    rows, others = rows_in(lines)
    if len(rows) < 2 or not is_heading(rows[0]):
        return []
    made = [Entry(line.strip(), "", line) for line in others]
    headings: Sequence[str] = ()
    for row, below in zip(rows, [*rows[1:], ()], strict=True):
        if is_heading(row):
            headings = row
        fits = len(row) == len(headings)
        if row is not headings and fits:
            made.append(of_cells(headings, roles_of(headings), row))
        elif row is not headings or len(below) != len(row):
            made.append(Entry(" | ".join(row), "", " ".join(row)))
    return made


def rows_in(lines: Sequence[str]) -> tuple[list[list[str]], list[str]]:
    """The cells of each row, and the lines that are no rows."""
    piped = [line for line in lines if line.count("|") >= 2]
    if len(piped) > 1:
        bare = [line.strip().removeprefix("|").removesuffix("|") for line in piped]
        rows = [[cell.strip() for cell in line.split("|")] for line in bare]
        return rows_whole(rows), [line for line in lines if line not in piped]
    for mark in "\t;,":
        marked = [line for line in lines if mark in line]
        rows = [[cell.strip() for cell in row] for row in csv.reader(marked, delimiter=mark)]
        if rows and len(rows[0]) > 1 + (mark == ",") and is_heading(rows[0]):
            return rows, [line for line in lines if line not in marked]
    return [], [*lines]


def is_heading(row: Sequence[str]) -> bool:
    """Whether it says what columns hold: it has one for names, and no figure of a slot."""
    roles = roles_of(row)
    named = "name" in roles and not re.search(r"\d", row[roles.index("name")])
    return (
        named
        and len(row) > 1
        and any(r != "name" for r in roles if r)
        and not any(map(FACT.search, row))
    )


def rows_whole(rows: Sequence[Sequence[str]]) -> list[list[str]]:
    """Without rulers; a row that begins with an empty cell goes on with the one above."""
    found: list[list[str]] = []
    for row in rows:
        if all(re.fullmatch(r":?-*:?", cell) for cell in row) and any(row):
            continue
        if found and not row[0] and len(row) == len(found[-1]):
            found[-1] = [f"{a} {b}".strip() for a, b in zip(found[-1], row, strict=True)]
        else:
            found.append([*row])
    return found


def roles_of(headings: Sequence[str]) -> list[str]:
    """Each column's; a connector beside a name is what the name stands for."""
    roles = [role_of(cell) for cell in headings]
    at = roles.index("name") if "name" in roles else 0
    is_size = [n > at and "connector" in cell.lower() for n, cell in enumerate(headings)]
    return [
        "size" if beside and role == "name" else role
        for role, beside in zip(roles, is_size, strict=True)
    ]


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
        said.append(sized(plain, after) if after else f"{before}{plain}")
    said += re.findall(r"[*†‡§¹²³⁴⁵⁶⁷⁸⁹]", " ".join(clean_name(cell) for cell in headings))
    line = "; ".join(f"{head}: {cell}" for head, cell in zip(headings, row, strict=True))
    return Entry(line, clean_name(row[at]), "; ".join(said))


def sized(cell: str, what: str) -> str:
    """`16` in a column of widths is `x16`; of more than one width nobody has said which it is."""
    plain = f"x{cell}" if cell.isdigit() else cell
    widths = re.findall(r"\bx ?\d+\b", plain, re.IGNORECASE)
    return plain.replace(widths[0], f"{widths[0]}{what}") if len(widths) == 1 else plain


def clean_name(text: str) -> str:
    return " ".join(EMPHASIS.sub(r"\2", text).split())


ENDS_OPEN = re.compile(r"[,;(/+-]$|\b(?:an?|and|as|at|by|for|from|in|is|of|on|or|the|to|with)$")
STARTS_AMID = re.compile(
    r"[a-z(]|(?:PCI(?:e|-E| Express)?|CPU ?\d?|PCH|SATA|Gen ?\d|Key|NVMe|USB)\b"
)


def unwrapped(lines: Sequence[str], goes_on: Callable[[str, str], bool]) -> list[str]:
    """Each line with those that only go on with it: what they say may change what it says."""
    found: list[str] = []
    last = ""
    for line in lines:
        if last and line and goes_on(last, line):
            found[-1] += f" {line.strip()}"
        elif line:
            found.append(line)
        last = line
    return found


def is_deeper(above: str, line: str) -> bool:
    """Whether a line stands further in, and begins nothing of its own."""
    heads = above.rstrip().endswith(":") and not is_name(of_line(above).name)
    indents = [len(one) - len(one.lstrip()) for one in (above, line)]
    return indents[1] > indents[0] and not heads and begins_nothing(line)


def is_amid(above: str, line: str) -> bool:
    """Whether a line begins in the midst of a sentence."""
    if is_deeper(above, line):
        return True
    is_open = ENDS_OPEN.search(above.rstrip()) or STARTS_AMID.match(line.lstrip())
    return bool(is_open) and not above.rstrip().endswith(":") and begins_nothing(line)


def begins_nothing(line: str) -> bool:
    return not BULLET.match(line) and not is_name(of_line(line).name)


BRACKETED = re.compile(
    r"1 ?x (?P<what>[^()]*?) ?\((?P<name>[A-Z][A-Z0-9_]*\d[A-Z0-9_]*)(?:, ?(?P<more>[^()]*))?\)"
)


def of_line(line: str) -> Entry:
    """A line of words: its name is first, up to a colon, dash or comma, or is in brackets."""
    plain = BULLET.sub("", line).strip()
    if (one := BRACKETED.match(plain)) and is_name(one["name"]):
        more = f", {one['more']}" if one["more"] else ""
        return Entry(line.strip(), one["name"], f"{one['what']}{more}{plain[one.end() :]}")
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
    if FACT.search(name) or name.isdigit():
        cut = re.match(r"(.*?)\s+(?:pci[- ]?e|m\.2\b|gen ?\d|x ?\d)", name, re.IGNORECASE)
        name = cut.group(1) if cut and not FACT.search(cut.group(1)) else ""
        rest = plain[len(name) :]
    return Entry(line.strip(), clean_name(name), rest.strip(" :,;–—-"))
