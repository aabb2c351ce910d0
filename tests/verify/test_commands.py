"""The three commands: a bundle, a build file, a plan, and the look afterwards."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from slotfit.answers.answer_word import EXIT
from slotfit.read.sources import collecting_script
from tests.catalog_command.typed import typed
from tests.read.machines import Placed, endpoint, port, write_sys
from tests.read.scenes import NETWORK, at
from tests.read.tables import Slot, dump


@pytest.fixture(autouse=True)
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)


@pytest.fixture
def bundle(tmp_path: Path) -> Path:
    """The tar of an invented machine, collected by the printed script read from a pipe."""
    root = tmp_path / "root"
    chain = ("0000:00:01.0",)
    write_sys(
        root,
        [
            Placed(port("0000:00:01.0", 1, number=1, lanes=8)),
            Placed(endpoint("0000:01:00.0", kind=NETWORK, lanes=8), chain),
        ],
    )
    table = dump(Slot("SLOT1 X8", kind=0xBC, width=0x0B, usage=4, **at("00:01.0")).pack(1))
    firmware = root / "sys/firmware/dmi/tables"
    firmware.mkdir(parents=True)
    (firmware / "smbios_entry_point").write_bytes(table[:32])
    (firmware / "DMI").write_bytes(table[32:])
    printed = typed("collect")
    assert printed.out == collecting_script()
    tar = tmp_path / "marsh.tar"
    with tar.open("wb") as stream:
        subprocess.run(
            ["sh", "-s"], input=printed.out.encode(), stdout=stream, stderr=subprocess.DEVNULL,
            env=os.environ | {"SLOTFIT_ROOT": str(root)}, check=True,
        )  # fmt: skip
    return tar


def test_from_a_bundle_to_a_plan_and_back(bundle: Path, tmp_path: Path) -> None:
    read = typed("read", "marsh.tar", "-o", "marsh")
    assert (read.code, read.err) == (0, "")
    assert "slotfit place marsh/build.yaml" in read.out
    placed = typed("place", "marsh/build.yaml", "--json")
    assert placed.code == EXIT["yes, if"], placed.err
    (tmp_path / "plan.json").write_text(placed.out, encoding="utf-8")
    for plan in ("marsh/build.yaml", "plan.json"):
        verified = typed("verify", plan, str(bundle))
        assert verified.code == 0, verified.out + verified.err
    assert typed("verify", "marsh/build.yaml", str(bundle), "--today").code == 0


def test_what_was_planned_and_is_not_there_is_a_no(bundle: Path, tmp_path: Path) -> None:
    typed("read", str(bundle), "-o", "marsh")
    (tmp_path / "empty").mkdir()
    write_sys(tmp_path / "empty", [Placed(port("0000:00:01.0", 1, number=1, lanes=8))])
    done = typed("verify", "marsh/build.yaml", "empty", "--json")
    assert done.code == 1
    assert [one["kind"] for one in json.loads(done.out)["do"]["faults"]] == ["missing"]


def test_nothing_is_written_over(bundle: Path) -> None:
    assert typed("read", str(bundle), "-o", "marsh").code == 0
    again = typed("read", str(bundle), "-o", "marsh")
    assert (again.code, again.out) == (2, "")
    assert "marsh/build.yaml: is there already" in again.err
    assert typed("read", str(bundle), "-o", "marsh", "--force").code == 0


@pytest.mark.parametrize(
    ("content", "words"),
    [(b"hello\n", "nothing known is in it"), (None, "cannot be read"),
     (b"# dmidecode 3.4\nScanning /dev/mem for entry point.\n", "root")],
)  # fmt: skip
def test_a_source_that_says_nothing_is_refused(
    content: bytes | None, words: str, tmp_path: Path
) -> None:
    if content is not None:
        (tmp_path / "source").write_bytes(content)
    done = typed("read", "source", "-o", "made")
    assert (done.code, done.out) == (2, "")
    assert words in done.err
    assert "Traceback" not in done.err
    assert not (tmp_path / "made").exists()


def test_the_script_may_be_asked_to_keep_everything() -> None:
    kept = typed("collect", "--keep").out
    assert "\nkeep=1\n" in kept
    assert "\nkeep=0\n" not in kept


def test_reading_loads_no_solver(bundle: Path, tmp_path: Path) -> None:
    code = (
        "import sys; from slotfit.cli.main import run; "
        f"sys.argv = ['slotfit', 'read', {str(bundle)!r}, '-o', 'made']\n"
        "try: run()\nexcept SystemExit as end: assert not end.code, end.code\n"
        "assert 'ortools' not in sys.modules"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=False, cwd=tmp_path,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr


def test_a_listing_may_come_from_standard_input(tmp_path: Path) -> None:
    listing = "00:01.0 PCI bridge: A port\n\tBus: primary=00, secondary=01, subordinate=01\n"
    words = [sys.executable, "-m", "slotfit", "read", "-", "-o", "made"]
    done = subprocess.run(
        words, input=listing, cwd=tmp_path, capture_output=True, text=True, check=False
    )
    assert done.returncode == 1, done.stderr  # no receptacle is known
    assert "No: no receptacle is known" in done.stdout
    assert (tmp_path / "made" / "board.yaml").exists()
