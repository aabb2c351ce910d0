"""Forms and which plug goes into which receptacle."""

import pytest

from slotfit.standards.cages import CAGES
from slotfit.standards.forms import FORMS, PLUG_FORMS, UnknownFormError, fit_of, plug_fits

# fmt: off
NAMES = [
    "cem", "m2-m", "m2-b", "m2-e", "m2-a", "u2", "u3", "u2-u3", "e1s", "e1l", "e3s", "e3l",
    "ocp3-sff", "ocp3-lff", "oculink-4", "slimsas-4", "slimsas-8", "mcio-4", "mcio-8", "mcio-16",
    "sff-8643", "sff-8644", "sff-8087", "sff-8088", "sata", "sas", "usb-header",
    "cooling-mount", "fan-header", "opening", "mounting-place",
    "12v-2x6", "eps-8", "sata-power", "molex-4",
]
# fmt: on

# Every pair of unlike forms that goes together, and nothing else.
UNLIKE_PAIRS = {
    # PCI Express M.2, as quoted: two notches clear two keys; one notch clears its own key alone
    ("m2-bm", "m2-m"),
    ("m2-bm", "m2-b"),
    ("m2-ae", "m2-a"),
    ("m2-ae", "m2-e"),
    # SFF-TA-1001, as quoted: "U.3 drive works in U.2 bay"
    ("u3", "u2"),
    # SFF-8639 and SFF-8482: lanes for SATA and SAS (from memory)
    ("sata", "sas"),
    ("sata", "u2"),
    ("sas", "u2"),
    ("sata", "u3"),
    # a bay of which its maker says that it takes both
    ("u2", "u2-u3"),
    ("u3", "u2-u3"),
    ("sata", "u2-u3"),
    ("sas", "u2-u3"),
    ("sas", "u3"),
    # OCP NIC 3.0 (from memory)
    ("ocp3-sff", "ocp3-lff"),
    # common practice
    ("opening", "cem"),
    ("cem", "mounting-place"),
    ("opening", "mounting-place"),
}


def test_the_table_has_the_forms_the_project_speaks_of() -> None:
    assert list(FORMS) == NAMES
    assert set(PLUG_FORMS) - set(FORMS) == {"m2-bm", "m2-ae", *CAGES}


def test_the_whole_matrix() -> None:
    fitting = {(p, r) for p in PLUG_FORMS for r in FORMS if plug_fits(p, r)}
    assert fitting == UNLIKE_PAIRS | {(form, form) for form in FORMS}


@pytest.mark.parametrize("plug", PLUG_FORMS)
def test_every_pair_has_a_reason_that_follows_because(plug: str) -> None:
    for receptacle in FORMS:
        fit = fit_of(plug, receptacle)
        assert (fit.plug, fit.receptacle) == (plug, receptacle)
        assert fit.reason
        assert not fit.reason.endswith(".")
        assert str(fit.source)


def test_a_u2_drive_is_told_why_a_u3_bay_will_not_do() -> None:
    """SFF-TA-1001, as quoted: "U.2 drive does not work in a U.3-only bay"."""
    fit = fit_of("u2", "u3")
    assert not fit.fits
    assert "U.3 only" in fit.reason


def test_a_sas_drive_does_not_go_on_a_sata_connector() -> None:
    """SFF-8482: the gap of the SATA plug is filled in a SAS drive (from memory)."""
    assert not plug_fits("sas", "sata")
    assert plug_fits("sata", "sas")


def test_a_contact_count_identifies_no_connector() -> None:
    """SFF-8654 and SFF-TA-1016 both count 38 and 74."""
    assert not plug_fits("slimsas-4", "mcio-4")
    assert not plug_fits("mcio-8", "slimsas-8")


# Widths and practical newest generation. Cables: gallery of server connectors and a cable maker's
# brief; M.2 through a drive manual; bays: drive makers' pages on U.2 and E1; OCP NIC 3.0 quick
# guide: all as quoted. EDSFF widths (SFF-TA-1002: 1C x4, 2C x8, 4C x16), the newest M.2 generation
# and the SAS and SATA connectors: from memory.
CARRIES = {
    "cem": ((1, 4, 8, 16), None),
    "m2-m": ((4,), 5),
    "m2-b": ((2,), 5),
    "m2-e": ((2,), 5),
    "m2-a": ((2,), 5),
    "m2-bm": ((2,), 5),
    "m2-ae": ((2,), 5),
    "u2": ((4,), 5),
    "u3": ((4,), 5),
    "u2-u3": ((4,), 5),
    "e1s": ((4, 8), None),
    "e1l": ((4, 8), None),
    "e3s": ((4, 8, 16), None),
    "e3l": ((4, 8, 16), None),
    "ocp3-sff": ((16,), 5),
    "ocp3-lff": ((32,), 5),
    "oculink-4": ((4,), 4),
    "slimsas-4": ((4,), 4),
    "slimsas-8": ((8,), 4),
    "mcio-4": ((4,), 5),
    "mcio-8": ((8,), 5),
    "mcio-16": ((16,), 5),
    "sff-8643": ((4,), 3),
    "sff-8644": ((4,), 3),
    "sff-8087": ((4,), None),
    "sff-8088": ((4,), None),
    "sata": ((1,), None),
    "sas": ((2,), None),
    "usb-header": ((), None),
    "cooling-mount": ((), None),
    "fan-header": ((), None),
    "opening": ((), None),
    "mounting-place": ((), None),
    "12v-2x6": ((), None),
    "eps-8": ((), None),
    "sata-power": ((), None),
    "molex-4": ((), None),
}


def test_what_each_form_carries() -> None:
    """What goes into a network cage has no lanes that a board could divide."""
    table = {form.name: (form.lanes, form.max_generation) for form in PLUG_FORMS.values()}
    assert table == CARRIES | dict.fromkeys(CAGES, ((), None))


def test_a_generation_is_stated_only_where_there_is_pcie() -> None:
    assert [f.name for f in PLUG_FORMS.values() if f.max_generation and "pcie" not in f.buses] == []


def test_no_pair_has_fewer_lanes_than_its_plug() -> None:
    """So the plug's form alone bounds a link; both SAS ports reach a U.2 bay (SFF-8639)."""
    narrower = {
        (plug, receptacle)
        for plug, receptacle in UNLIKE_PAIRS
        if receptacle != "mounting-place"  # for what has none
        and FORMS[receptacle].max_lanes < PLUG_FORMS[plug].max_lanes
    }
    assert narrower == set()


def test_pairs_that_go_together_share_a_bus() -> None:
    """Save a bracket alone, which carries nothing, and a place that carries nothing."""
    with_lanes = {pair for pair in UNLIKE_PAIRS if pair[1] != "mounting-place"}
    for plug, receptacle in with_lanes - {("opening", "cem")}:
        assert set(PLUG_FORMS[plug].buses) & set(FORMS[receptacle].buses)


@pytest.mark.parametrize(
    ("plug", "receptacle", "wrong"), [("cme", "cem", "cme"), ("cem", "m2-bm", "m2-bm")]
)
def test_an_unknown_form_is_named_with_those_that_are_known(
    plug: str, receptacle: str, wrong: str
) -> None:
    with pytest.raises(UnknownFormError, match=r"is no form; write one of: cem, m2-m") as caught:
        plug_fits(plug, receptacle)
    assert caught.value.form == wrong
