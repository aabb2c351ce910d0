"""The schema files: made from the model, and of one mind with the loader."""

import json
from functools import cache
from pathlib import Path
from typing import Any, get_args

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st
from jsonschema import Draft202012Validator
from jsonschema.protocols import Validator

from slotfit.answers.catalog.answer import CatalogQuery, catalog_linted, catalog_listed
from slotfit.answers.catalog.schema import ANSWERS, KINDS, schema_of, schema_text
from slotfit.answers.text_layout import as_json
from slotfit.errors import InputError
from slotfit.files import catalog_root
from slotfit.load.entities import read_inline
from slotfit.model.words import Form
from tests.catalog.entries import CATALOG
from tests.choose.finished import comparison, headroom
from tests.docs.console import run
from tests.verify.scenes import held, seen_on

ROOT = Path(__file__).parents[1]
SCHEMA = catalog_root() / "schema"
LOADER: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)

DESCRIPTIONS = sorted(
    path
    for folder in ("catalog", "examples", "docs", "slotfit", "tests/newcomer")
    for path in (ROOT / folder).rglob("*.yaml")
)


def validator(kind: str) -> Validator:
    return Draft202012Validator(schema_of(kind))


VALIDATORS = {kind: validator(kind) for kind in KINDS}


@cache
def content(path: Path) -> dict[str, Any]:
    found = yaml.load(path.read_text("utf-8"), Loader=LOADER)  # noqa: S506  safe, in C
    assert isinstance(found, dict), path
    return found


@pytest.mark.parametrize("kind", [*KINDS, *ANSWERS])
def test_the_file_is_what_the_model_says(kind: str, request: pytest.FixtureRequest) -> None:
    """If not, print it anew: `slotfit catalog schema KIND > catalog/schema/KIND.json`."""
    if request.config.getoption("--update"):
        (SCHEMA / f"{kind}.json").write_text(schema_text(kind), "utf-8")
    assert (SCHEMA / f"{kind}.json").read_text("utf-8") == schema_text(kind)


@pytest.mark.parametrize("kind", [*KINDS, *ANSWERS])
def test_it_is_a_schema(kind: str) -> None:
    Draft202012Validator.check_schema(json.loads(schema_text(kind)))


def test_no_other_file_lies_there() -> None:
    assert {path.stem for path in SCHEMA.iterdir()} == {*KINDS, *ANSWERS}


def printed(words: str) -> str:
    """What a command prints for programs."""
    return "\n".join(run(["slotfit", *words.split(), "--json"])[1])


def beside(words: str, key: str) -> str:
    """What it prints under a key beside the plan."""
    return json.dumps(json.loads(printed(words))[key])


DEMO = ROOT / "examples" / "demo" / "build.yaml"
NO_PLAN = ROOT / "examples" / "infeasible-lanes" / "build.yaml"

PRINTED = {
    "answer-check": lambda: printed("check carrier-m2x4-gen4 old-menu-lies --with nvme-2280-gen4"),
    "answer-carriers": lambda: printed("carriers old-menu-lies"),
    "answer-why": lambda: printed(f"why {DEMO} nic-10 slot1"),
    "answer-no-plan": lambda: beside(f"place {NO_PLAN} --ways 2", "explanation"),
    "answer-choices": lambda: beside(f"place {DEMO} --also 2 --elsewhere hba", "choices"),
    "answer-compare": lambda: as_json(comparison()),
    "answer-headroom": lambda: as_json(headroom()),
    "answer-verify": lambda: as_json(held(seen_on({}))),
    "answer-catalog-list": lambda: as_json(catalog_listed(CATALOG, CatalogQuery())),
    "answer-catalog-lint": lambda: as_json(catalog_linted(CATALOG, ["server-2p", "hba-8i-sas3"])),
}


@pytest.mark.parametrize("kind", PRINTED)
def test_what_is_printed_is_as_its_schema_says(kind: str) -> None:
    answer = json.loads(PRINTED[kind]())
    assert [error.message for error in validator(kind).iter_errors(answer)] == []


@pytest.mark.parametrize("path", DESCRIPTIONS, ids=lambda path: path.relative_to(ROOT).as_posix())
def test_every_description_is_valid(path: Path) -> None:
    found = content(path)
    errors = [error.message for error in VALIDATORS[found["kind"]].iter_errors(found)]
    assert errors == []


@pytest.mark.parametrize("path", DESCRIPTIONS, ids=lambda path: path.relative_to(ROOT).as_posix())
def test_every_description_leads_editors_to_its_schema(path: Path) -> None:
    first = path.read_text("utf-8").splitlines()[0]
    mark, _, where = first.partition("=")
    assert mark == "# yaml-language-server: $schema"
    assert (path.parent / where).resolve() == SCHEMA / f"{content(path)['kind']}.json"


def loads(kind: str, data: dict[str, Any]) -> bool:
    """Whether the loader takes it, names and all."""
    try:
        read_inline(json.dumps({"kind": kind, **data}), KINDS[kind], "given")
    except InputError:
        return False
    return True


def fits(kind: str, data: dict[str, Any]) -> bool:
    return bool(VALIDATORS[kind].is_valid({"kind": kind, **data}))


PART = {"id": "p", "plug": "cem x8"}
SLOT = {"id": "s", "form": "cem", "lanes": 16}


def board(**slot: Any) -> dict[str, Any]:
    return {"id": "b", "processors": [{"id": "cpu0"}], "receptacles": [SLOT | slot]}


TAKEN: list[tuple[str, dict[str, Any]]] = [
    ("part", PART),
    ("part", {**PART, "links": "2x4"}),
    ("part", {**PART, "links": [{"lanes": 4}, {"at": 4, "lanes": 4}]}),
    ("part", {**PART, "demand": 3}),
    ("part", {**PART, "demand": {"in_gb_s": 3}}),
    ("part", {**PART, "plug": {"form": "cem", "width": 8}}),
    ("part", {**PART, "class": "carrier", "name": None}),
    ("part", {"id": "p", "plug": "m2-m"}),
    ("board", board(splits=[])),
    ("board", board(splits=["x8x8", {"split": "x4x4x4x4", "setting": "four"}])),
    ("chassis", {"id": "c", "bays": {"3.5": 2}}),
    ("power-supply", {"id": "p", "watts": 500, "plugs": {"pcie-8": 2}}),
]

REFUSED: list[tuple[str, dict[str, Any]]] = [
    ("part", {"plug": "cem x8"}),
    ("part", {**PART, "plug": "cem 8"}),
    ("part", {**PART, "plug": "cem x64"}),
    ("part", {**PART, "plug": "pcie x8"}),
    ("part", {**PART, "links": "8"}),
    ("part", {**PART, "links": "999999999x4"}),
    ("part", {**PART, "links": "x8+x8"}),
    ("part", {**PART, "links": [{"at": 0}]}),
    ("part", {**PART, "demand": "3 GB/s"}),
    ("part", {**PART, "colour": "green"}),
    ("part", {**PART, "generation": "4"}),
    ("part", {**PART, "generation": 8}),
    ("part", {**PART, "class": "hba"}),
    ("part", {**PART, "id": "two words"}),
    ("board", board(splits="x8x8")),
    ("board", board(splits=["8x8"])),
    ("board", board(lanes="x16")),
    ("board", {"id": "b", "processors": [{"id": "cpu0"}]}),
    ("board", {"id": "b", "receptacles": [SLOT]}),
    ("chassis", {"id": "c", "bays": {"5.25": 2}}),
    ("power-supply", {"id": "p"}),
    ("power-supply", {"id": "p", "watts": "500 W"}),
]


@pytest.mark.parametrize(("kind", "data"), TAKEN)
def test_schema_and_loader_take_it(kind: str, data: dict[str, Any]) -> None:
    assert loads(kind, data)
    assert fits(kind, data)


@pytest.mark.parametrize(("kind", "data"), REFUSED)
def test_schema_and_loader_refuse_it(kind: str, data: dict[str, Any]) -> None:
    assert not loads(kind, data)
    assert not fits(kind, data)


WORDS = st.text(alphabet="x0123456789 48-m", min_size=1, max_size=9)
PLUGS = st.one_of(
    WORDS,
    st.tuples(st.sampled_from(get_args(Form)), WORDS).map(" ".join),
    st.tuples(st.sampled_from(get_args(Form)), st.integers(0, 40)).map(lambda t: f"{t[0]} x{t[1]}"),
)


@given(PLUGS)
def test_a_plug_in_one_word_is_taken_by_both_or_neither(word: str) -> None:
    data = {"id": "p", "plug": word}
    if not word.startswith("cem"):  # how many lanes a form has is the loader's to say
        assert fits("part", data) == loads("part", data)
    elif loads("part", data):
        assert fits("part", data)


@given(st.one_of(WORDS, st.lists(st.integers(1, 16)).map(lambda w: "".join(f"x{n}" for n in w))))
def test_links_that_the_loader_takes_fit_the_schema(word: str) -> None:
    data = {"id": "p", "plug": "cem x16", "links": word}
    if loads("part", data):
        assert fits("part", data)


@given(st.one_of(WORDS, st.lists(st.integers(1, 16)).map(lambda w: "".join(f"x{n}" for n in w))))
def test_splits_that_the_loader_takes_fit_the_schema(word: str) -> None:
    if loads("board", board(splits=[word])):
        assert fits("board", board(splits=[word]))


def test_a_build_may_name_its_parts_or_write_them_out() -> None:
    machine = {"id": "m", "board": board() | {"kind": "board"}}
    base = {"id": "b", "machines": [machine]}
    named = {"id": "a", "part": "hba-8i-sas3"}
    written_out = {"id": "a", "part": PART}
    assert fits("build", base | {"parts": [named, written_out | {"id": "c"}]})
    assert not fits("build", base | {"parts": [{"id": "a", "part": 3}]})
    assert not fits("build", base | {"parts": [{"id": "a", "part": {"id": "p", "plug": "cem 8"}}]})
    assert not fits("build", {"id": "b", "machines": [{"id": "m"}]})


def test_every_key_is_explained_to_editors() -> None:
    for kind in KINDS:
        made = schema_of(kind)
        for model in (made, *made.get("$defs", {}).values()):
            for name, field in model.get("properties", {}).items():
                assert field["description"], (kind, name)
