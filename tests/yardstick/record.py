"""The answers as they were recorded: one build a line, and what has changed since."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Mapping
from pathlib import Path

from tests.yardstick.answers import Values, answers
from tests.yardstick.builds import builds

FILE = Path(__file__).with_name("record.json")

FIELDS = ("plan", "clash", "ways", "sequence", "spans")

Record = Mapping[str, Values]
"""Build -> its answers."""


def recorded() -> Record:
    """What the file holds."""
    found: Record = json.loads(FILE.read_text("utf-8")) if FILE.exists() else {}
    return found


def answered(name: str) -> Values:
    """What is answered today, as the file would hold it."""
    try:
        found: Values = json.loads(json.dumps(answers(builds()[name]())))
    except Exception as error:
        error.add_note(name)
        raise
    return found


def write(record: Record) -> None:
    """Rewrite the file."""
    lines = [f"{json.dumps(name)}:{dense(record[name])}" for name in sorted(record)]
    FILE.write_text("{\n" + ",\n".join(lines) + "\n}\n", "utf-8", newline="\n")


def dense(value: object) -> str:
    """JSON without spaces, keys in order."""
    return json.dumps(value, sort_keys=True, separators=(",", ":"))


def changed(kept: Values, now: Values) -> list[str]:
    """Fields that are otherwise."""
    return [name for name in FIELDS if kept.get(name) != now.get(name)]


def told(name: str, field: str, kept: Values, now: Values) -> str:
    """A field that is otherwise, with both values of what differs in it."""
    before, after = kept.get(field), now.get(field)
    if isinstance(before, dict) and isinstance(after, dict):
        keys = [key for key in sorted({*before, *after}) if before.get(key) != after.get(key)]
        before, after = ({key: one.get(key) for key in keys} for one in (before, after))
    return f"{name}: {field}\n  recorded {dense(before)}\n  now      {dense(after)}"


def rewritten() -> str:
    """Record every build anew; returns how many builds changed, field by field."""
    kept, now = recorded(), {name: answered(name) for name in builds()}
    write(now)
    both = [name for name in now if name in kept]
    counted = Counter(field for name in both for field in changed(kept[name], now[name]))
    said = [f"{field} {counted[field]}" for field in FIELDS]
    said += [f"added {len(now.keys() - kept.keys())}", f"gone {len(kept.keys() - now.keys())}"]
    return f"{len(now)} builds; changed: {', '.join(said)}"
