"""A built wheel carries all that slotfit needs: catalog, templates, script, type marker."""

import ast
import json
import os
import re
import subprocess
import sys
import tomllib
from collections.abc import Iterator
from importlib.metadata import packages_distributions
from importlib.util import find_spec
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]

if find_spec("hatchling") is None:
    pytest.skip("needs hatchling: pip install -e '.[dev]'", allow_module_level=True)


def pip(*arguments: str) -> None:
    """Run pip without a network; its own words explain a failure."""
    command = [sys.executable, "-m", "pip", "--disable-pip-version-check", *arguments]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder into which the wheel of this checkout is installed."""
    folder = tmp_path_factory.mktemp("wheel")
    pip("wheel", "--no-deps", "--no-index", "--no-build-isolation", "-w", str(folder), ".")
    (wheel,) = folder.glob("slotfit-*.whl")
    pip("install", "--no-deps", "--no-index", "--target", str(folder / "site"), str(wheel))
    return folder / "site"


def python(site: Path, *arguments: str, folder: Path | None = None) -> str:
    """What Python prints in a folder when it sees the installed wheel before this checkout."""
    done = subprocess.run(
        [sys.executable, *arguments],
        cwd=folder or site.parent,
        env={**os.environ, "PYTHONPATH": str(site)},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout.strip()


def files_below(folder: Path) -> set[str]:
    """Every file that belongs to the project, as paths below `folder`."""
    found = (path.relative_to(folder) for path in folder.rglob("*") if path.is_file())
    return {path.as_posix() for path in found if "__pycache__" not in path.parts}


def test_catalog_comes_along(site: Path) -> None:
    where = "from slotfit.files import catalog_root; print(catalog_root())"
    root = Path(python(site, "-c", where))
    assert root == site / "slotfit" / "_catalog"
    assert (root / "boards").is_dir()
    assert files_below(root) == files_below(ROOT / "catalog")


def test_every_file_of_the_package_comes_along(site: Path) -> None:
    """Scripts, templates and py.typed too, not only Python."""
    missing = files_below(ROOT / "slotfit") - files_below(site / "slotfit")
    assert missing == set()
    assert (site / "slotfit" / "py.typed").is_file()


def test_command_starts(site: Path) -> None:
    assert python(site, "-m", "slotfit", "--version").startswith("slotfit ")
    assert "slotfit" in python(site, str(site / "bin" / "slotfit"), "--help")


def test_it_answers_far_from_the_checkout(site: Path, tmp_path: Path) -> None:
    """From a starting file to a plan, a page and a drawing, in an empty folder."""

    def slotfit(*arguments: str) -> str:
        return python(site, "-m", "slotfit", *arguments, folder=tmp_path)

    slotfit("new", "build", "-o", "build.yaml")
    first = (tmp_path / "build.yaml").read_text("utf-8").splitlines()[0]
    assert first.endswith(str(site / "slotfit" / "_catalog" / "schema" / "build.json"))
    view = json.loads(slotfit("place", "build.yaml", "--json"))
    assert view["verdict"]["status"] == "proven"
    assert view["plan"]["seats"]
    slotfit("sheet", "build.yaml", "-o", "sheet.html")
    assert "</html>" in (tmp_path / "sheet.html").read_text("utf-8")
    slotfit("draw", "build.yaml", "--view", "row", "-o", "row.svg")
    assert "</svg>" in (tmp_path / "row.svg").read_text("utf-8")
    assert slotfit("collect").startswith("#!/bin/sh")
    assert "carrier-m2x4-gen4" in slotfit("catalog", "list", "carrier")


def imported() -> Iterator[str]:
    """Top names of what the package imports, optional imports (within a `try`) left out."""
    for path in (ROOT / "slotfit").rglob("*.py"):
        tree = ast.parse(path.read_text("utf-8"))
        optional = {
            id(inner)
            for node in ast.walk(tree)
            if isinstance(node, ast.Try)
            for inner in ast.walk(node)
        }
        for node in ast.walk(tree):
            if id(node) in optional:
                continue
            match node:
                case ast.Import(names=names):
                    yield from (name.name.partition(".")[0] for name in names)
                case ast.ImportFrom(module=str(module)):
                    yield module.partition(".")[0]


def test_a_fresh_installation_has_what_is_imported_and_no_more() -> None:
    own = {"slotfit", "_typeshed", *sys.stdlib_module_names}
    packages = packages_distributions()
    needed = {packages[name][0].lower() for name in set(imported()) - own}
    project = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]
    named = {re.split(r"[<>=~ ]", one)[0].lower() for one in project["dependencies"]}
    programs = {"graphviz-pure"}  # run, not imported
    assert named == needed | programs
