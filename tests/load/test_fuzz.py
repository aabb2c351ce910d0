"""Whatever a file holds, the loader answers with an entity or with mistakes, never otherwise."""

import tempfile
from pathlib import Path
from typing import Any

import yaml
from hypothesis import given
from hypothesis import strategies as st

from slotfit.errors import InputError, Mistake
from slotfit.load.build_file import load_build
from slotfit.load.catalog import Catalog
from slotfit.load.entities import read_file
from slotfit.load.yaml_text import UNPRINTABLE
from slotfit.model.board import Board
from slotfit.model.machine import Chassis
from slotfit.model.part import PartSpec

HERE = Path(__file__).parent
MODELS: list[Any] = [PartSpec, Board, Chassis]
WORDS = [
    *("id", "kind", "part", "board", "plug", "form", "links", "receptacles", "processors", "hubs"),
    *(
        "lane_groups",
        "arrangements",
        "gives",
        "from",
        "lanes",
        "splits",
        "split",
        "to",
        "extra_plugs",
    ),
    *("machines", "parts", "today", "pin", "only", "count", "apart", "together", "cem", "m2-m"),
    *("cem x16", "x8x8", "4x4", "x16", "cpu0", "slot1", "two-socket", "carrier-2", "nvme", "box"),
]


def checked(mistakes: list[Mistake]) -> None:
    """Mistakes are one line each and say something."""
    for mistake in mistakes:
        assert mistake.text
        assert not UNPRINTABLE.search(str(mistake))
        assert "\n" not in str(mistake)


def load_all(content: bytes) -> None:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "file.yaml"
        path.write_bytes(content)
        for model in MODELS:
            outcome = read_file(path, model)
            assert outcome.mistakes or outcome.entity is not None
            checked(outcome.mistakes)
        checked(mistakes_of_build(path))


def mistakes_of_build(path: Path) -> list[Mistake]:
    """Empty if nothing is wrong; an error without mistakes would be one that says nothing."""
    try:
        load_build(path, Catalog([HERE / "catalog"]))
    except InputError as error:
        return list(error.mistakes) or [Mistake(path.name, "", "")]
    return []


@given(st.binary(max_size=300))
def test_any_bytes(content: bytes) -> None:
    load_all(content)


@given(st.lists(st.sampled_from([*WORDS, *":-[]{},'\"&*!|>?#%\t\n ~<"]), max_size=60))
def test_any_jumble_of_words_and_signs(pieces: list[str]) -> None:
    load_all(" ".join(pieces).encode())


SCALARS = st.one_of(
    st.sampled_from(WORDS),
    st.integers(),
    st.floats(),
    st.booleans(),
    st.none(),
    st.text(max_size=5),
)
TREES = st.recursive(
    SCALARS,
    lambda inner: st.one_of(
        st.lists(inner, max_size=4), st.dictionaries(st.sampled_from(WORDS), inner, max_size=6)
    ),
    max_leaves=30,
)


@given(TREES)
def test_any_tree_of_known_words(tree: object) -> None:
    load_all(yaml.safe_dump(tree, allow_unicode=True).encode("utf-8", errors="replace"))


GOOD: list[dict[str, Any]] = [
    yaml.safe_load((HERE / "catalog/boards/two-socket.yaml").read_text(encoding="utf-8")),
    yaml.safe_load((HERE / "catalog/parts/expander.yaml").read_text(encoding="utf-8")),
    {
        "id": "home",
        "machines": [{"id": "box", "board": "two-socket", "processors": ["cpu0"]}],
        "parts": [{"id": "ssd", "part": "nvme", "count": 2, "only": ["slot1", "m2-1"]}],
        "today": {"ssd-1": "m2-1"},
        "apart": [{"parts": ["ssd"], "by": "machine"}],
    },
]


def places(value: Any, way: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    """Every way into a tree."""
    found = [way]
    if isinstance(value, dict):
        found += [deep for key in value for deep in places(value[key], (*way, key))]
    elif isinstance(value, list):
        found += [deep for n in range(len(value)) for deep in places(value[n], (*way, n))]
    return found


def changed(value: Any, way: tuple[Any, ...], new: Any) -> Any:
    """A copy with something else at one place."""
    if not way:
        return new
    step, rest = way[0], way[1:]
    if isinstance(value, dict):
        return {key: changed(one, rest, new) if key == step else one for key, one in value.items()}
    return [changed(one, rest, new) if n == step else one for n, one in enumerate(value)]


@given(st.data())
def test_any_slip_in_a_good_file(data: st.DataObject) -> None:
    tree = data.draw(st.sampled_from(GOOD))
    for _ in range(data.draw(st.integers(1, 3))):
        way = data.draw(st.sampled_from(places(tree)))
        tree = changed(tree, way, data.draw(TREES))
    load_all(yaml.safe_dump(tree, allow_unicode=True).encode("utf-8", errors="replace"))
