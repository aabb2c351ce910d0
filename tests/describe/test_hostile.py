"""Names that try to be YAML, paths or control codes stay names."""

from __future__ import annotations

import tempfile
from pathlib import Path

import pytest
import yaml
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from pydantic import TypeAdapter

from slotfit.answers.read.yaml_text import (
    Ids,
    YamlBlock,
    YamlComment,
    YamlField,
    clean,
    slug,
    yaml_text,
)
from slotfit.errors import InputError
from slotfit.load.yaml_file import parse_yaml, plain_value
from slotfit.model.words import Id
from tests.describe.loading import described, loaded, refused_today
from tests.read.machines import endpoint, port
from tests.read.scenes import NETWORK, at, machine
from tests.read.tables import Slot

NASTY = st.text(max_size=60) | st.sampled_from(
    [
        '"; rm -rf /', "a: b", "- x", "# no", "&a", "*a", "!!python/object", "{", "[", "|", ">",
        "%TAG", "null", "yes", "0x10", "1e3", "~", "<<", "../../etc/passwd", "/", "..", "a\nb: c",
        "a\r\nid: x", "\u2028kind: part", "\x85", "\u202e", "\ufeff", "'", '"', "\\", "</script>",
        "<b>&amp;", "\x00", "\x1b[2J", "machine", "slot1", "-", ".", "\ud800", "é" * 50, "x" * 500,
    ]
)  # fmt: skip


@given(NASTY, NASTY)
def test_a_text_is_read_back_as_a_text(value: str, remark: str) -> None:
    written = yaml_text(
        YamlBlock((YamlComment(remark), YamlField("key", value, remark), YamlField("end", 1)))
    )
    root = parse_yaml(written, "f").root
    assert dict(root) == {"key": clean(value, 2000), "end": 1}
    assert yaml.safe_load(written) == {"key": clean(value, 2000), "end": 1}


@given(NASTY)
def test_a_name_becomes_an_id(text: str) -> None:
    name = slug(text, "slot")
    assert name
    assert name[0].isalpha()
    assert TypeAdapter(Id).validate_python(name) == name
    assert "/" not in name
    assert isinstance(plain_value(name), str) or name in ("true", "false", "null")


@given(st.lists(st.sampled_from(["slot", "slot-2", "a"]), max_size=12))
def test_ids_are_handed_out_once(names: list[str]) -> None:
    ids = Ids()
    assert len({ids.new(name) for name in names}) == len(names)


@settings(suppress_health_check=[HealthCheck.too_slow], max_examples=60)
@given(st.lists(NASTY, min_size=2, max_size=4), NASTY)
def test_hostile_designations_load(names: list[str], machine_name: str) -> None:
    bus = [port("00:01.0", 1, number=1), endpoint("01:00.0", kind=NETWORK, lanes=8)]
    addresses = ["01:00.0"] + ["00:00.0"] * (len(names) - 1)
    slots = [
        Slot(name.replace("\0", "").encode("utf-8", "ignore").decode(), usage=4, slot_id=number,
             **at(address)).pack(number)
        for number, (name, address) in enumerate(zip(names, addresses, strict=True), start=1)
    ]  # fmt: skip
    made = described(machine(bus, *slots), machine_name)
    with tempfile.TemporaryDirectory() as folder:
        problem = loaded(made, Path(folder) / "made")
        assert refused_today(problem) == {}
        outside = {path.name for path in Path(folder).iterdir()} - {"made"}
    assert outside == set()
    assert all(not name.startswith(("/", ".")) and ".." not in name for name in made.files)


def test_nothing_is_written_through_a_link(tmp_path: Path) -> None:
    target, elsewhere = tmp_path / "made", tmp_path / "elsewhere"
    target.mkdir()
    elsewhere.mkdir()
    (target / "parts").symlink_to(elsewhere)
    bus = [port("00:01.0", 1), endpoint("01:00.0", kind=NETWORK, lanes=8)]
    made = described(machine(bus, Slot(usage=4, **at("01:00.0")).pack(1)))
    with pytest.raises(InputError, match="a link"):
        loaded(made, target)
    assert list(elsewhere.iterdir()) == []
    assert [path.name for path in target.iterdir()] == ["parts"]
