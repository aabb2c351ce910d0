"""The words of a manual's slot table: what a line says of a receptacle, and what is left over."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from functools import lru_cache

Facts = dict[str, int | str | bool | tuple[int, ...]]


@dataclass(slots=True)
class Entry:
    """
    One line, as far as it was understood.

    `left` are the words that were not; nothing is taken from a line that has any. `narrower`: with
    that receptacle filled it has so many lanes. `dark`: it has none with one of these filled.
    """

    line: str
    name: str
    text: str
    facts: Facts = field(default_factory=dict)
    narrower: dict[str, int] = field(default_factory=dict)
    dark: list[str] = field(default_factory=list)
    shares: list[str] = field(default_factory=list)
    or_sata: bool = False
    left: str = ""
    clashes: list[str] = field(default_factory=list)

    def say(self, key: str, value: int | str | bool | tuple[int, ...]) -> None:
        """A fact; a second that differs from the first is no fact."""
        if self.facts.setdefault(key, value) != value:
            self.clashes.append(key)

    @property
    def is_understood(self) -> bool:
        """Whether every word of it was."""
        return not self.left and not self.clashes and "form" in self.facts


Take = Callable[[Entry, re.Match[str]], None]


def both(size: int, lanes: int) -> Take:
    """Connector and wired lanes from these groups of a pattern."""

    def take(entry: Entry, found: re.Match[str]) -> None:
        entry.say("width", int(found.group(size)))
        entry.say("lanes", int(found.group(lanes)))

    return take


def number(key: str) -> Take:
    """One number."""
    return lambda entry, found: entry.say(key, int(found.group(1)))


def word(key: str, value: int | str | bool) -> Take:
    """One fact that the words stand for."""
    return lambda entry, _: entry.say(key, value)


def origin(entry: Entry, found: re.Match[str]) -> None:
    entry.say("from", f"cpu {found.group(1)}" if found.group(1) else "cpu")


def lengths(entry: Entry, found: re.Match[str]) -> None:
    known = entry.facts.get("drive_lengths", ())
    more = (int(found.group(1)),)
    entry.facts["drive_lengths"] = (*known, *more) if isinstance(known, tuple) else more


def sata(entry: Entry, _: re.Match[str]) -> None:
    entry.or_sata = True


def ports(stem: str) -> Take:
    """A connector for cables with so many lanes."""

    def take(entry: Entry, found: re.Match[str]) -> None:
        entry.say("form", f"{stem}-{found.group(1) or found.group(2)}")

    return take


X = r"\bx ?(\d{1,2})\b"
SIZE = r"(?:physical(?:ly)?|mechanical(?:ly)?|connector|slot size|length|long)"
WIRED = r"(?:electrical(?:ly)?|lanes?|signals?|wired|wiring|mode|link|speed)"
RUNS = r"(?:wired|runs|running|run|operates|operating|works|electrically|limited)"
CPU = r"(?:cpu|processor)"
LINK = r"(?:pci[- ]?e(?:xpress)?|gen) ?(?:gen ?)?[1-6](?:\.0)? x ?\d"

PATTERNS: tuple[tuple[str, Take], ...] = (
    (r"\b22(30|42|60|80|110)\b(?! ?(?:-|–|to) ?22)", lengths),
    (r"\b(\d{1,3}) ?w(?:atts?)?\b", number("power_w")),
    (rf"{X} (?:slot|connector)[;,]? (?={LINK})", number("width")),
    (rf"\bmcio ?(?:(4|8|16)i\b|x(4|8|16)(?: physical)?\b(?=.*{X}))", ports("mcio")),
    (rf"\bslim ?sas ?(?:(4|8)i\b|x(4|8)(?: physical)?\b(?=.*{X}))", ports("slimsas")),
    (r"\bocp(?: nic)? 3\.0 (?:sff|small)\b", word("form", "ocp3-sff")),
    (r"\bpci[- ]?e(?:xpress)? ?(?:gen ?)?([1-6])(?:\.0)?(?=x| |$|[,;)(/])", number("generation")),
    (r"\bgen(?:eration)?[ .]?([1-6])(?:\.0)?(?=x| |$|[,;)(/])", number("generation")),
    (r"(?<![\d.x])([1-6])\.0(?![\d.])", number("generation")),
    (rf"{X} ?(?:slot|connector)?,? ?\(?{RUNS} (?:as|at|in|to|for) {X}(?: {WIRED})?\)?", both(1, 2)),
    (rf"{X} ?{SIZE}?(?: slot)?,? ?[(/]? ?{X} {WIRED}\)?", both(1, 2)),
    (rf"{X} ?(?:slot)? ?\(?electrical(?:ly)? {X}\)?", both(1, 2)),
    (rf"{X} ?{WIRED}? ?\(?(?:in|on|with) (?:an? |the )?{X} ?(?:slot|{SIZE})\)?", both(2, 1)),
    (rf"{X} ?\({X} ?(?:slot|{SIZE})\)", both(2, 1)),
    (rf"{X} ?\(in (?:an? )?{X}\)", both(2, 1)),
    (rf"{X} {SIZE}", number("width")),
    (rf"{X} {WIRED}", number("lanes")),
    (r"\b(\d{1,2}) lanes?\b", number("lanes")),
    (r"\b(?:from|via|by|to|off|on)? ?(?:the )?(?:chipset|pch|fch|southbridge)\b",
     word("from", "chipset")),
    (rf"\b(?:from|via|by|to|off|on)? ?(?:the )?(?<!with )(?<!with the ){CPU} ?#?(\d)?\b(?! ?\d)",
     origin),
    (r"(?:\bor|/) ?sata\b(?: mode)?|\bsata ?(?:/|or) ?(?=pcie|nvme)", sata),
    (r"\bu\.2\b", word("form", "u2")),
    (r"\bu\.3\b", word("form", "u3")),
    (r"\boculink\b", word("form", "oculink-4")),
    (r"\bm[- ]key\b|\bkey[- ]m\b|\bm\.2 \(m\)", word("form", "m2-m")),
    (r"\be[- ]key\b|\bkey[- ]e\b|\bm\.2 \(e\)", word("form", "m2-e")),
    (r"\bb[- ]key\b|\bkey[- ]b\b|\bm\.2 \(b\)", word("form", "m2-b")),
    (r"\bopen[- ]ended\b|\bopen end\b", word("open_end", True)),
    (r"\bclosed end\b", word("open_end", False)),
    (r"\blow[- ]profile\b", word("bracket", "low")),
    (r"\bfull[- ]height\b", word("bracket", "full")),
)  # fmt: skip
"""What is looked for, in this order; what one takes the next no longer sees."""

FILLED = r"(?:is |are )?(?:populated|occupied|in use|used|installed|filled|present)"


@lru_cache(maxsize=4)
def relations(names: tuple[str, ...]) -> tuple[tuple[re.Pattern[str], Take], ...]:
    """Patterns of what one receptacle takes from another."""
    every = "|".join(re.escape(name.lower()) for name in sorted(names, key=len, reverse=True))
    other = rf"(?P<other>{every})(?![\w])" if every else r"(?P<other>(?!))"
    when = rf"(?:when|if|while|with) (?:the )?{other} {FILLED}"

    def narrower(entry: Entry, found: re.Match[str]) -> None:
        entry.narrower[found.group("other")] = int(found.group("lanes"))

    def dark(entry: Entry, found: re.Match[str]) -> None:
        entry.dark.append(found.group("other"))

    def shares(entry: Entry, found: re.Match[str]) -> None:
        entry.shares.append(found.group("other"))

    lanes = r"x ?(?P<lanes>\d{1,2})(?: mode| lanes)?"
    runs = r"(?:it |this slot )?(?:runs|drops|falls back|switches|operates|changes)?"
    off = r"(?:is |will be )?(?:disabled|unavailable|not available|switched off|off|inactive)"
    patterns: tuple[tuple[str, Take], ...] = (
        (rf"(?:\bor|/|,|;)? ?{runs} ?(?:at|to|in)? ?{lanes} {when}", narrower),
        (rf"{when},? {runs} ?(?:at|to|in)? ?{lanes}", narrower),
        (rf"\b{off} {when}", dark),
        (rf"{when},? (?:it |this slot )?{off}", dark),
        (rf"\bshare[sd]?(?: its)?(?: lanes| bandwidth)?(?: with)? {other}", shares),
    )
    return tuple((re.compile(pattern), take) for pattern, take in patterns)


FILLERS = re.compile(
    r"\b(?:m\.2 connector,? socket [1-3]|pci[- ]?e(?:xpress)?|pci express|slots?|connectors?|"
    r"sockets?|lanes?|the|an?|one|is|are|"
    r"from|via|with|and|at|in|for|supports?|supported|nvme|ssds?|drives?|cards?|devices?|type|"
    r"interface|bus|port|root|of|to|m\.2|riser|half[- ]length|full[- ]length|add-in|expansion)\b"
)
WORDS = re.compile(r"[^\W_][\w.+-]*|[^\w\s,;:.()\[\]/|'\"“”’&+=–—-]")
"""Of any script, and each sign that is not plain punctuation: `*` and `≤` may take back a lot."""
EMPHASIS = re.compile(r"(\*\*|\*|`)(?=[^\s*])(.+?)(?<=[^\s*])\1")


FACT = re.compile(r"\bx ?\d{1,2}\b|(?<![\d.])[1-6]\.0(?![\d.])|\bgen ?[1-6]\b", re.IGNORECASE)
NO_NAME = re.compile(
    rf"(?:{CPU} ?#?\d?|pch|chipset|socket [1-3])|.*\b(?:slots|sockets|connectors|ports)|"
    r".*\b(?:on-?board|soldered|integrated|key|and|or|to)\b.*|.*[,/&+~…].*|"
    r".*(?<![mu])(?<![mu]\.)\d ?(?:-|–|\.\.) ?\d.*"
)
"""Words about several, and about what is soldered."""


def is_name(text: str) -> bool:
    """Whether it may be what is printed beside one receptacle, rather than words about several."""
    plain = re.sub(rf"\b{CPU} ?#?\d?\b", " ", text.lower())
    words = WORDS.findall(FILLERS.sub(" ", plain))
    if FACT.search(text) or NO_NAME.fullmatch(text.lower()):
        return False
    says_which = words or re.search(r"\b[a-z]$", text.lower())
    return bool(says_which) and len(words) <= 2


def understand(entry: Entry, names: Sequence[str]) -> None:
    """Takes out of the text what is understood; what is left over stands in `left`."""
    plain_text = EMPHASIS.sub(r"\2", entry.text.lower())
    text = " ".join(plain_text.replace("×", "x").translate(dict.fromkeys(map(ord, "®™"))).split())
    own = entry.name.lower()
    for relation, take in relations(tuple(names)):
        text = take_all(entry, relation, take, text, lambda found: found["other"] != own)
    about = f"{entry.name.lower()} {text}"
    for pattern, take in PATTERNS:
        text = take_all(entry, re.compile(pattern), take, text)
    if named := re.search(rf"{CPU} ?#?(\d)", entry.name.lower()):
        origin(entry, named)
    form_of(entry, about, text)
    plain = [int(found) for found in re.findall(X, text)]
    if len(plain) == 1 and "lanes" not in entry.facts:
        entry.say("lanes", plain[0])
        if entry.facts.get("form") == "cem":
            entry.facts.setdefault("width", plain[0])
        text = re.sub(X, " ", text)
    width, lanes = (entry.facts.get(key) for key in ("width", "lanes"))
    if isinstance(width, int) and isinstance(lanes, int) and lanes > width:
        entry.clashes.append("more lanes than the connector has")
    entry.left = " ".join(WORDS.findall(FILLERS.sub(" ", text)))


def take_all(
    entry: Entry,
    pattern: re.Pattern[str],
    take: Take,
    text: str,
    counts: Callable[[re.Match[str]], bool] = bool,
) -> str:
    """Every place where the pattern holds, and which counts, is taken and blanked."""

    def blank(found: re.Match[str]) -> str:
        if not counts(found):
            return found.group()
        take(entry, found)
        return " "

    return pattern.sub(blank, text)


def form_of(entry: Entry, about: str, text: str) -> None:
    """The form, where no word has named it: a slot for cards, or an M.2 socket with four lanes."""
    if "form" in entry.facts:
        return
    lanes = entry.facts.get("lanes") or next(map(int, re.findall(X, text)), None)
    if re.search(r"m\.?2(?![\d])", about):
        # Key B has two lanes, keys A and E have two of one: only key M has four.
        if lanes == 4:
            entry.say("form", "m2-m")
    elif is_slot(entry, text) and not OTHER_FORMS.search(about):
        entry.say("form", "cem")


def is_slot(entry: Entry, text: str) -> bool:
    """Whether the line calls it a slot and says more than that; what is soldered has lanes too."""
    says = entry.facts.keys() & {"width", "lanes", "generation"} or re.search(X, text)
    return bool(says) and bool(SLOT_NAME.search(entry.name.lower()) or re.search(r"\bslot", text))


SLOT_NAME = re.compile(r"slot|pci|peg|pex?\d|riser|^j\d|^(?:\d{1,2}|[a-z])$")

OTHER_FORMS = re.compile(
    r"ocp|mezz|mini|msata|u\.[23]|sata|oculink|mcio|slim|edsff|e[13]\.[sl]|nvme|dimm|thunderbolt|"
    r"bay|header|\bpci\b(?![- ]?e)(?! express)"
)
