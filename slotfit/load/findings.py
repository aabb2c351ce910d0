"""
Pydantic's findings in our own words.

Each kind of finding (`err["type"]`) has its sentence; a finding is never told by its message text.
"""

from __future__ import annotations

import re
import types
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from pydantic import Tag
from pydantic.fields import FieldInfo

from slotfit.errors import InputError, Mistake
from slotfit.load.elsewhere import home_words
from slotfit.load.words import closest, form_hint, key_hint, listed, quote, rate_hint, split_hint
from slotfit.load.yaml_file import Loc, Written, path_text, span_at, steps_of
from slotfit.model.entity import Entity, Span
from slotfit.model.manifest import PATH, SHA256
from slotfit.model.spread import SPREAD, MaySpread, TypicalAndWorst
from slotfit.model.units import unit_named


def keys_of(model: type[Entity]) -> tuple[str, ...]:
    """The keys a mapping of this kind may have, as they are written."""
    return tuple(info.alias or name for name, info in model.model_fields.items())


def field_written(model: type[Entity], key: str) -> FieldInfo | None:
    """The field that is written `key`; None if there is none."""
    infos = model.model_fields.items()
    return next((info for name, info in infos if key in (info.alias, name)), None)


def branches(annotation: Any) -> Iterator[Any]:
    """The plain types inside unions and annotations; that a thing may be left out is no type."""
    origin = get_origin(annotation)
    if origin is Annotated:
        yield from branches(get_args(annotation)[0])
    elif origin in (Union, types.UnionType):
        for branch in get_args(annotation):
            yield from branches(branch)
    elif annotation is not type(None):
        yield annotation


def tagged(annotation: Any) -> dict[str, Any]:
    """Ways of writing a thing that are told apart by a tag, which a finding has as a step."""
    found: dict[str, Any] = {}
    if get_origin(annotation) is Annotated:
        inner, *marks = get_args(annotation)
        found = {mark.tag: inner for mark in marks if isinstance(mark, Tag)} or tagged(inner)
    elif get_origin(annotation) in (Union, types.UnionType):
        for one in get_args(annotation):
            found |= tagged(one)
    return found


def may_spread(annotation: Any) -> bool:
    """Whether typical and worst may be written for it."""
    return isinstance(annotation, MaySpread) or any(map(may_spread, get_args(annotation)))


def inside(annotation: Any, step: str | int) -> Iterator[Any]:
    """What is expected one step further in."""
    if str(step) in (ways := tagged(annotation)):
        yield ways[str(step)]
        return
    if step == SPREAD and may_spread(annotation):
        yield TypicalAndWorst
    for branch in branches(annotation):
        origin = get_origin(branch)
        if isinstance(branch, type) and issubclass(branch, Entity):
            if info := field_written(branch, str(step)):
                yield info.annotation
        elif origin is tuple and isinstance(step, int):
            yield get_args(branch)[0]
        elif origin is dict and isinstance(step, str):
            yield get_args(branch)[1]


def expected_at(model: type[Entity], loc: Loc) -> list[Any]:
    """The plain types allowed at `loc`; steps that name a union's branch lead nowhere."""
    found: list[Any] = [model]
    for step in loc:
        found = [kind for annotation in found for kind in inside(annotation, step)]
    return [branch for annotation in found for branch in branches(annotation)]


def entity_at(model: type[Entity], loc: Loc) -> type[Entity] | None:
    """The kind of entity that is described at `loc`."""
    for kind in expected_at(model, loc):
        if isinstance(kind, type) and issubclass(kind, Entity):
            return kind
    return None


def words_at(model: type[Entity], loc: Loc) -> tuple[Any, ...]:
    """The closed vocabulary at `loc`, empty if there is none; `[key]` asks for a mapping's keys."""
    if loc and loc[-1] == "[key]":
        kinds = [
            branch
            for kind in expected_at(model, loc[:-2])
            if get_origin(kind) is dict
            for branch in branches(get_args(kind)[0])
        ]
    else:
        kinds = expected_at(model, loc)
    return tuple(word for kind in kinds if get_origin(kind) is Literal for word in get_args(kind))


Finding = Mapping[str, Any]
"""Its `type`, `loc`, `input` and, for some types, `ctx`."""


def is_miscounted(finding: Finding) -> bool:
    """Pydantic does not count the parts that are wrong, and then finds too few."""
    if finding["type"] != "too_short":
        return False
    return len(finding["input"]) >= int(finding["ctx"]["min_length"])


LONG_LIST = 8
"""Words; a longer list is not shown where the likely word can be."""

SHORT_FORMS = {
    "Plug": "a form and its lanes, such as cem x8",
    "Link": "links such as x8, 4x4 or x8x8",
}
"""Kind of entity -> how it is written in one word."""

SPLIT = r"^x\d+(x\d+)*$"

PATTERNS = {
    r"^[A-Za-z0-9][A-Za-z0-9_.+-]*$": (
        "a name has letters, digits, `_`, `.`, `+` and `-` only, and begins with a letter or digit"
    ),
    r"^[^\s/]+(/[^\s/]+)?$": "write a receptacle as slot1, machine/slot1 or part/socket",
    SPLIT: "write a division as x8x8 or x4x4x4x4",
    PATH: "write a file in the folder itself or in a folder of it: parts/my-card.yaml",
    SHA256: "expected a checksum of 64 letters and digits, as `sha256sum` prints it",
}
"""A field's pattern -> what it means."""

NUMBER = re.compile(r"[-+]?\d+(?:[.,]\d+)?")
YES_NO = {"yes": "true", "on": "true", "y": "true", "no": "false", "off": "false", "n": "false"}


def unit_of(loc: Loc) -> str:
    """The unit of the figure at `loc`, with a space before it; empty if it has none."""
    named = (unit_named(step) for step in reversed(loc) if isinstance(step, str))
    unit = next(filter(None, named), "")
    return f" {unit}" if unit else ""


def number_text(written: Any, *, whole: bool) -> str:
    """A figure was expected: `write 4, not x4`."""
    kind = "a whole number" if whole else "a number"
    if whole and isinstance(written, float) and written.is_integer():
        return f"write {written:g}, not {quote(written)}"
    found = NUMBER.findall(written) if isinstance(written, str) else []
    if len(found) != 1:
        return f"expected {kind}, not {quote(written)}"
    figure = found[0].replace(",", ".")
    if whole:
        figure = re.sub(r"\.0+$", "", figure)
    if whole and "." in figure:
        return f"expected {kind}, not {quote(written)}"
    if figure == written:
        return f"write {figure} without quotes"
    return f"write {figure}, not {quote(written)}"


def text_expected(written: Any) -> str:
    if isinstance(written, float):  # 2.10 has become 2.1
        return "expected a text; put it in quotes, with every digit as it is shown"
    if isinstance(written, bool | int | float):
        return f'expected a text; write "{quote(written)}" in quotes'
    return f"expected a text, not {quote(written)}"


def truth_text(written: Any) -> str:
    if isinstance(written, str) and (word := YES_NO.get(written.lower())):
        return f"write {word}, not {written}"
    return f"write true or false, not {quote(written)}"


def list_text(model: type[Entity], loc: Loc, written: Any) -> str:
    kind = entity_at(model, (*loc, 0))
    if isinstance(written, str) and kind and (short := SHORT_FORMS.get(kind.__name__)):
        return f"expected {short}, or a list, not {quote(written)}"
    if isinstance(written, dict):
        return "expected a list; begin each item with `- `"
    if written is None or (isinstance(written, str) and not written):
        return "expected a list; write [] for an empty one"
    return f"expected a list; write [{quote(written)}], not {quote(written)}"


def mapping_text(model: type[Entity], loc: Loc, written: Any) -> str:
    kind = entity_at(model, loc)
    if kind is None:
        return f"expected a mapping, not {quote(written)}"
    if kind.__name__ == "Demand" and isinstance(written, str):
        hint = rate_hint(written) or "write a number"
        return f"expected gigabytes per second; {hint}, not {quote(written)}"
    if isinstance(written, str) and (short := SHORT_FORMS.get(kind.__name__)):
        return f"expected {short}, or a mapping, not {quote(written)}"
    return f"expected a mapping such as {{{some_keys(kind)[0]}: ...}}, not {quote(written)}"


def some_keys(kind: type[Entity]) -> list[str]:
    """The keys that must be there, or the first few if none must."""
    needed = [info.alias or name for name, info in kind.model_fields.items() if info.is_required()]
    return needed or list(keys_of(kind)[:3])


def word_text(model: type[Entity], loc: Loc, written: Any) -> str:
    words = [str(word) for word in words_at(model, loc)]
    if len(words) == 1:
        return f"write {words[0]}, not {quote(written)}"
    said = form_hint(written) if loc[-1] == "form" and str(written).lower() not in words else None
    if said:
        return f"unknown form {quote(written)}; {said}"
    likely = closest(written, words) if isinstance(written, str) else None
    if likely and len(words) > LONG_LIST:
        return f"unknown word {quote(written)}; did you mean {likely}?"
    hint = f"; did you mean {likely}?" if likely else ""
    return f"expected one of {listed(words)}, not {quote(written)}{hint}"


def unknown_key_text(model: type[Entity], loc: Loc, _: Any) -> str:
    kind = entity_at(model, loc[:-1])
    keys = keys_of(kind) if kind else ()
    name = str(loc[-1])
    if meant := key_hint(name, keys):
        return f"unknown key; {meant}"
    if home := home_words(model, name):
        return f"unknown key here; {home}"
    if likely := closest(name, keys):
        return f"unknown key; did you mean {likely}?"
    return f"unknown key; known here: {listed(sorted(keys), 'and')}"


def pattern_text(pattern: str, written: Any) -> str:
    hint = split_hint(written) if pattern == SPLIT else None
    meant = PATTERNS.get(pattern, "not of the form that is expected here")
    return f"{quote(written)}: {hint or meant}"


NUMBERS = {
    **dict.fromkeys(("int_type", "int_parsing", "int_from_float"), True),
    **dict.fromkeys(("float_type", "float_parsing"), False),
}
"""Kind of finding -> whether a whole number was expected."""

RANGES = {
    "greater_than_equal": "at least",
    "less_than_equal": "at most",
    "greater_than": "more than",
    "less_than": "less than",
}

OF_VALUE: dict[str, Callable[[Any], str]] = {
    "bool_type": truth_text,
    "bool_parsing": truth_text,
    "string_type": text_expected,
}

AT_PLACE: dict[str, Callable[[type[Entity], Loc, Any], str]] = {
    "extra_forbidden": unknown_key_text,
    "literal_error": word_text,
    "tuple_type": list_text,
    "dict_type": mapping_text,
    "model_type": mapping_text,
    "model_attributes_type": mapping_text,
}


def sentence(model: type[Entity], error: Finding) -> str:
    """What to say of one of pydantic's findings."""
    kind, loc, written, limits = error["type"], error["loc"], error["input"], error.get("ctx", {})
    if kind in NUMBERS:
        return number_text(written, whole=NUMBERS[kind])
    if kind in RANGES:
        (limit,) = limits.values()
        unit = unit_of(loc)
        return f"{quote(written)}{unit} is out of range; expected {RANGES[kind]} {limit:g}{unit}"
    if kind in OF_VALUE:
        return OF_VALUE[kind](written)
    if kind in AT_PLACE:
        return AT_PLACE[kind](model, loc, written)
    if kind == "string_pattern_mismatch":
        return pattern_text(limits["pattern"], written)
    others = {
        "missing": "missing",
        "string_too_long": f"longer than {limits.get('max_length')} characters",
        "too_short": f"the list needs at least {limits.get('min_length')}",
    }
    return others.get(kind, f"{quote(written)} cannot stand here ({kind})")


def either(model: type[Entity], errors: list[Finding]) -> str:
    """One sentence for a value that fits none of several kinds: a number or one of some words."""
    first = errors[0]
    words = [str(word) for word in words_at(model, first["loc"][:-1])]
    if first["type"] in ("less_than_equal", "greater_than_equal"):
        return sentence(model, first)
    if isinstance(first["input"], str) and NUMBER.search(first["input"]):
        return number_text(first["input"], whole=True)
    return f"expected a whole number or one of {listed(words)}, not {quote(first['input'])}"


def mistakes_of(
    model: type[Entity], findings: Sequence[Finding], written: Written, at: Loc
) -> Iterator[Mistake]:
    """One mistake a place, worded; echoes of what was refused earlier are left out."""
    for same in grouped(model, findings).values():
        finding = same[0]
        loc = (*at, *finding["loc"])
        if echo(finding, loc, written) or misspelt(model, finding):
            continue
        steps = steps_of(written, loc)
        named = (*steps, loc[-1]) if finding["type"] == "missing" else steps
        text = sentence(model, finding) if len(same) == 1 else either(model, same)
        yield Mistake(span_at(written, loc), path_text(named), text)


def grouped(model: type[Entity], findings: Iterable[Finding]) -> dict[Loc, list[Finding]]:
    """Findings by place: a value that fits none of a union's kinds has one for each."""
    groups: dict[Loc, list[Finding]] = {}
    for finding in findings:
        loc = finding["loc"]
        is_union = bool(loc) and len(expected_at(model, loc[:-1])) > 1
        groups.setdefault(loc[:-1] if is_union else loc, []).append(finding)
    return groups


def echo(finding: Finding, loc: Loc, written: Written) -> bool:
    """Whether this only follows from another mistake."""
    if is_miscounted(finding):
        return True
    return any(loc[: len(spoiled)] == spoiled for spoiled in written.spoiled)


def misspelt(model: type[Entity], finding: Finding) -> bool:
    """A key seems missing because it is there under a wrong name, which is its own mistake."""
    kind = entity_at(model, finding["loc"][:-1])
    if finding["type"] != "missing" or kind is None:
        return False
    keys = keys_of(kind)
    wrong = [key for key in finding["input"] if key not in keys]
    return any(closest(key, keys) == finding["loc"][-1] for key in wrong)


MOST_SHOWN = 100
"""Mistakes; whoever has more has one cause for most of them."""


def error_of(mistakes: Iterable[Mistake], first_file: str = "") -> InputError:
    """The error that shows each mistake once: `first_file`, then the others, line by line."""
    once = [*dict.fromkeys(mistakes)]
    files = [*dict.fromkeys([first_file, *(file_of(one) for one in once)])]
    ordered = sorted(once, key=lambda one: (files.index(file_of(one)), *place_of(one)))
    if hidden := len(ordered) - MOST_SHOWN:
        ordered[MOST_SHOWN:] = [Mistake("", "", f"and {hidden} more")] if hidden > 0 else []
    return InputError(ordered)


def file_of(mistake: Mistake) -> str:
    """The file (or argument) a mistake is in."""
    return mistake.where.file if isinstance(mistake.where, Span) else mistake.where


def place_of(mistake: Mistake) -> tuple[int, int]:
    """Line and column; a mistake of the whole file comes first."""
    where = mistake.where
    return (where.line, where.column) if isinstance(where, Span) else (0, 0)
