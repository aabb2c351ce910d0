"""Air for passive parts, against an accelerator's data sheet."""

import pytest

from slotfit.standards import airflow


@pytest.mark.parametrize(
    ("inlet_c", "lfm"),
    # Data sheet 683226 section 5.1, as quoted; between rows the next one up, above 55 unknown.
    [
        (20, 270),
        (30, 270),
        (30.5, 300),
        (35, 300),
        (35.5, 360),
        (40, 360),
        (40.5, 420),
        (45, 420),
        (45.5, 510),
        (50, 510),
        (50.5, 690),
        (55, 690),
        (55.1, None),
    ],
)
def test_example_accelerator(inlet_c: float, lfm: int | None) -> None:
    assert airflow.example_accelerator_lfm(inlet_c) == lfm


def test_example_adapter() -> None:
    """Host adapter guide 820-6536, appendix A, as quoted: 200 LFM at 55 degrees."""
    assert (airflow.EXAMPLE_ADAPTER.inlet_c, airflow.EXAMPLE_ADAPTER.lfm) == (55, 200)


def test_hotter_air_must_be_faster() -> None:
    rows = airflow.EXAMPLE_ACCELERATOR
    assert sorted(rows, key=lambda row: row.inlet_c) == sorted(rows, key=lambda row: row.lfm)


def test_units() -> None:
    """1 foot is 0.3048 m: 200 feet a minute are 1.016 m/s; 1 CFM through 1 square foot is 1 LFM."""
    assert airflow.metres_a_second(200) == pytest.approx(1.016)
    assert airflow.lfm_through(1, 304.8 * 304.8) == pytest.approx(1)


def test_air_rules_are_sentences_with_names_of_their_own() -> None:
    names = [rule.name for rule in airflow.AIR_RULES]
    assert len(names) == len(set(names))
    assert all(rule.text.endswith(".") for rule in airflow.AIR_RULES)
