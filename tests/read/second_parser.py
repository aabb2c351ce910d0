"""
A second reader of slot records: fields as they are written, from the table and from its text.

Written from DSP0134 6.1 and 7.10 and from texts, and apart from the package: it imports none of it.
"""

from __future__ import annotations

from typing import Any

LANES = {"x1": 1, "x2": 2, "x4": 4, "x8": 8, "x12": 12, "x16": 16, "x32": 32}
CODES = {8: 1, 9: 2, 10: 4, 11: 8, 12: 12, 13: 16, 14: 32}
USAGES = {1: "other", 2: "unknown", 3: "available", 4: "in use", 5: "unavailable"}

Fields = dict[str, Any]
"""designation, lanes, usage, id, address; None where nothing is written."""


def of_table(dump: bytes) -> list[Fields]:
    """Records of the table behind a 64-bit entry point of 32 bytes."""
    data, at, found = dump[32:], 0, []
    while at + 4 <= len(data):
        kind, length = data[at], data[at + 1]
        end = data.index(b"\0\0", at + length)
        texts = data[at + length : end].split(b"\0")
        if kind == 9:
            found.append(record(data[at : at + length], texts))
        if kind == 127:
            break
        at = end + 2
    return found


def record(body: bytes, texts: list[bytes]) -> Fields:
    name = texts[body[4] - 1].decode().strip() if 0 < body[4] <= len(texts) else ""
    return {
        "designation": name or None,
        "lanes": CODES.get(body[6]),
        "usage": USAGES.get(body[7]),
        "id": body[9] if len(body) >= 11 else None,
        "address": address(body[13:17]),
    }


def address(four: bytes) -> str | None:
    if len(four) < 4 or four == b"\xff\xff\xff\xff":
        return None
    segment = four[0] | four[1] << 8
    return f"{segment:04x}:{four[2]:02x}:{four[3] >> 3:02x}.{four[3] & 7}"


def of_text(text: str) -> list[Fields]:
    """Records of the decoding tool's text: blocks between blank lines, with a type 9 handle."""
    found = []
    for block in text.replace("\r", "").split("\n\n"):
        lines = [line.strip() for line in block.splitlines()]
        if not any(line.startswith("Handle ") and "DMI type 9," in line for line in lines):
            continue
        said: dict[str, str] = {}
        for line in lines:
            key, colon, value = line.partition(":")
            if colon and value.strip():
                said.setdefault(key, value.strip())
        found.append(written(said))
    return found


def written(said: dict[str, str]) -> Fields:
    name, usage, number = (said.get(key) for key in ("Designation", "Current Usage", "ID"))
    width = said.get("Data Bus Width", "").rpartition(" ")[2]
    wired = width if width in LANES else said.get("Type", "").partition(" ")[0]
    return {
        "designation": None if name == "<BAD INDEX>" else name,
        "lanes": LANES.get(wired),
        "usage": usage.lower().rstrip(".") if usage and "<" not in usage else None,
        "id": int(number) if number and number.isdigit() else None,
        "address": said.get("Bus Address"),
    }
