"""The sample of captures is what its writer writes: nobody's machine is in it."""

from __future__ import annotations

import pytest

from tests.read.invented import files
from tests.read.outside import SAMPLE


def test_the_sample_is_what_its_writer_writes(request: pytest.FixtureRequest) -> None:
    written = files()
    if request.config.getoption("--update"):
        for name, content in written.items():
            (SAMPLE / name).parent.mkdir(parents=True, exist_ok=True)
            (SAMPLE / name).write_bytes(content)
    there = {str(path.relative_to(SAMPLE)) for path in SAMPLE.rglob("*.*")}
    assert there == set(written)
    assert [name for name in written if (SAMPLE / name).read_bytes() != written[name]] == []
