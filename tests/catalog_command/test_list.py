"""Lists and searches, against what the files' own text says."""

import json
import re
from collections import Counter
from collections.abc import Callable
from typing import Any

import pytest

from slotfit.answers.catalog.answer import CatalogQuery, catalog_listed
from slotfit.load.catalog import Catalog
from tests.catalog.entries import CATALOG, FILES, ROOT, raw
from tests.catalog_command.typed import typed

RAW = {path.stem: raw(path) for path in FILES}


def listed(**wanted: Any) -> set[str]:
    """Through the same catalog each time, so that files are read once."""
    answer = catalog_listed(CATALOG, CatalogQuery(**wanted))
    assert answer.not_listed == ()
    return {entry.id for entry in answer.entries}


def having(wanted: Callable[[str, dict[str, Any]], object]) -> set[str]:
    return {name for name, content in RAW.items() if wanted(name, content)}


def test_a_plain_list_has_every_description_once() -> None:
    assert listed() == set(RAW)
    out = typed("catalog", "list", "--all").out
    for name in RAW:
        assert re.findall(rf"^  {re.escape(name)} ", out, re.MULTILINE), name


@pytest.mark.parametrize("kind", ["board", "part", "chassis", "power-supply"])
def test_by_kind(kind: str) -> None:
    assert listed(kind=kind) == having(lambda _, c: c["kind"] == kind)


def test_by_class() -> None:
    for part_class in ("host-bus-adapter", "cable", "air-mover"):
        expected = having(lambda _, c, word=part_class: c.get("class") == word)  # type: ignore[misc]
        assert listed(kind=part_class) == expected != set()


def test_by_generation() -> None:
    """Parts of one class by the generation in their file."""
    for generation in (1, 3, 5):
        found = listed(kind="network-card", generation=generation)
        assert found == {
            name
            for name, content in RAW.items()
            if content.get("class") == "network-card" and content["generation"] == generation
        }


def test_by_lanes() -> None:
    """The links of these files are one word: x8, 2x4, 4x4, x8x8 ..."""
    for lanes, words in ((1, {"x1"}), (8, {"x8", "2x4", "x4x4"}), (16, {"x16", "4x4", "2x8"})):
        written = having(lambda _, c, words=words: str(c.get("links")) in words)  # type: ignore[misc]
        found = listed(kind="part", lanes=lanes)
        assert written <= found
        for name in found - written:
            assert not isinstance(RAW[name]["links"], str) or RAW[name]["links"] not in ("x4", "x2")


PORTS = re.compile(r"^(?:nic(?:-ocp|-m2)?|usb|serial)-.*?(\d+)p\b")


@pytest.mark.parametrize("ports", [1, 2, 4])
def test_network_usb_and_serial_cards_by_ports(ports: int) -> None:
    """Their ids say how many."""
    named = {name for name in RAW if (m := PORTS.match(name)) and int(m[1]) == ports}
    assert named
    assert named <= listed(ports=ports)


def test_host_bus_adapters_by_ports() -> None:
    """`hba-8i-...` has 8, `hba-4i4e-...` too; two connectors of four lanes are eight ports."""
    eight = {name for name in RAW if re.match(r"hba-(8[ie]|4i4e)-|sata-8p-", name)}
    eight |= {"hba-16i-trimode-gen4"}  # eight for SAS, eight lanes for NVMe
    assert listed(kind="host-bus-adapter", ports=8) == eight


def test_by_plug_and_by_what_it_takes() -> None:
    assert listed(plug="u2") >= {"nvme-u2-gen3", "nvme-u2-gen4", "nvme-u2-gen5"}
    takers = listed(takes="m2-m", kind="carrier")
    assert takers == {name for name in RAW if re.match(r"carrier-(switch-)?m2x", name)}


def test_words_must_all_occur() -> None:
    found = listed(words=("Network", "two", "25"))
    of_two = {"nic-25g-2p", "nic-25g-2p-gen4", "nic-25g-2p-one-speed", "nic-25g-2p-shared"}
    assert found == {*of_two, "nic-ocp-25g-2p"}
    assert listed(words=("network", "nonesuch")) == set()


def test_a_word_begins_where_a_word_begins() -> None:
    """`two` is not in `network`."""
    assert "nic-1g-1p" not in listed(words=("two",))
    assert "nic-1g-2p" in listed(words=("TWO",))


def test_every_option_of_the_command_narrows_the_list() -> None:
    options = ["--plug", "cem", "--lanes", "8", "--generation", "4", "--ports", "2"]
    done = typed("catalog", "search", "network", "25", "--kind", "network-card", *options, "--json")
    assert [entry["id"] for entry in json.loads(done.out)["entries"]] == [
        "nic-25g-2p-gen4",
        "nic-25g-2p-shared",
    ]
    assert typed("catalog", "list", "network-card", *options, "--takes", "cem").code == 1


def test_no_entry_is_the_answer_no() -> None:
    done = typed("catalog", "search", "nonesuch")
    assert done.code == 1
    assert done.out.startswith("Nothing in the catalog is like that. ")


def test_words_may_come_in_one_argument() -> None:
    apart = typed("catalog", "search", "network", "two", "25")
    assert typed("catalog", "search", "network two 25").out == apart.out
    assert apart.code == 0


def test_lines_fit_the_terminal() -> None:
    assert [
        line for line in typed("catalog", "list", "--all").out.splitlines() if len(line) > 80
    ] == []


def test_a_faulty_file_is_told_and_the_rest_listed(tmp_path: Any) -> None:
    (tmp_path / "good.yaml").write_text("kind: part\nid: good\nplug: m2-m\n", "utf-8")
    (tmp_path / "bad.yaml").write_text("kind: part\nid: bad\n", "utf-8")
    done = typed("catalog", "list", "--plug", "m2-m", "--catalog", str(tmp_path))
    assert done.code == 0
    assert "  good " in done.out
    assert "bad.yaml: not listed; see slotfit catalog lint bad" in done.err


def test_a_file_that_overrides_is_listed_and_told(tmp_path: Any) -> None:
    text = "kind: part\nid: hba-8i-sas3\nname: Mine\nplug: cem x8\n"
    (tmp_path / "hba-8i-sas3.yaml").write_text(text, "utf-8")
    done = typed("catalog", "search", "Mine", "--catalog", str(tmp_path))
    assert "hba-8i-sas3  Mine" in done.out
    assert "hba-8i-sas3: " in done.err
    assert "is used, not" in done.err


def test_a_folder_that_is_not_there_is_bad_input() -> None:
    done = typed("catalog", "list", "--catalog", "/nonesuch")
    assert done.code == 2
    assert "/nonesuch: there is no such folder" in done.err


def test_the_list_parses_no_file_of_another_kind() -> None:
    """287 files are read in a second; a list of boards needs 20 of them."""
    catalog = Catalog([ROOT])
    catalog_listed(catalog, CatalogQuery(kind="board"))
    assert {path.parent.name for path, _ in catalog.opened} == {"boards"}


def test_a_word_that_nothing_is_called_is_bad_input() -> None:
    done = typed("catalog", "list", "boards", "--plug", "m2")
    assert done.code == 2
    kind, plug = done.err.splitlines()
    assert kind == "KIND: there is no boards; did you mean board?"
    assert typed("catalog", "list", "network-crad").err.endswith("did you mean network-card?\n")
    assert plug.startswith("--plug: there is no m2; did you mean m2-")


def test_without_a_kind_it_is_an_overview_that_fits_a_screen() -> None:
    """Every kind and class that has a description, with how many there are."""
    done = typed("catalog", "list")
    lines = done.out.splitlines()
    assert done.code == 0
    assert len(lines) <= 40
    entries = catalog_listed(CATALOG, CatalogQuery()).entries
    counts = Counter(entry.part_class or entry.kind for entry in entries)
    for kind, count in counts.items():
        assert any(re.match(rf"  {kind} +{count} ", line) for line in lines), kind
    assert lines[0] == f"{len(entries)} descriptions in the catalog."
    assert "slotfit catalog list KIND" in done.out
