"""Plain scalars mean what the YAML 1.2 core schema says, not what YAML 1.1 said."""

from typing import Any

import pytest

from slotfit.load.yaml_file import parse_yaml, plain_value

# YAML 1.2.2, section 10.3.2 "Tag Resolution" and example 10.9.
CORE: list[tuple[str, Any]] = [
    ("", None),
    ("null", None),
    ("Null", None),
    ("NULL", None),
    ("~", None),
    ("true", True),
    ("True", True),
    ("TRUE", True),
    ("false", False),
    ("False", False),
    ("FALSE", False),
    ("0", 0),
    ("-19", -19),
    ("+12", 12),
    ("007", 7),
    ("0o7", 7),
    ("0x3A", 58),
    ("0.", 0.0),
    ("-0.0", -0.0),
    (".5", 0.5),
    ("+12e03", 12000.0),
    ("-2E+05", -200000.0),
]
# YAML 1.1 read these as truth values, base 60, octal, or dates (yaml.org/type); 1.2 does not.
ONLY_TEXT = [
    *("yes", "no", "on", "off", "y", "n", "Yes", "NO"),
    *(
        "1:30",
        "190:20:30",
        "1_000",
        "0b101",
        "2024-01-01",
        "0o8",
        "0xg",
        "1e",
        "e5",
        "x4",
        "+",
        ".",
    ),
    *("tRUE", "nULL", "none", "None"),
]
# Figures that no field can hold are kept as text, so that the field says what it expects.
NO_FIGURES = [".inf", "-.INF", ".nan", "1e999", "9" * 41, "-" + "9" * 5000]


@pytest.mark.parametrize(("text", "value"), CORE)
def test_core_schema(text: str, value: Any) -> None:
    found = plain_value(text)
    assert found == value
    assert type(found) is type(value)


@pytest.mark.parametrize("text", [*ONLY_TEXT, *NO_FIGURES])
def test_everything_else_is_text(text: str) -> None:
    assert plain_value(text) == text


def test_quotes_make_text_of_anything() -> None:
    written = parse_yaml("a: '4'\nb: \"true\"\nc: 4\nd: |\n  4\n", "f")
    assert [written.root[key] for key in "abcd"] == ["4", "true", 4, "4\n"]
