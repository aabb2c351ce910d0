"""A built wheel carries all that slotfit needs: catalog, templates, script, type marker."""

import os
import subprocess
import sys
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


def python(site: Path, *arguments: str) -> str:
    """What Python prints when it sees the installed wheel before this checkout."""
    done = subprocess.run(
        [sys.executable, *arguments],
        cwd=site.parent,
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
    where = "from slotfit.catalog_root import catalog_root; print(catalog_root())"
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
