"""GWPs, ODPs and flags of the federal rules, with the blends worked from them.

Sources: 42 USC 7675(c)(1) = 40 CFR 84 App. A; 40 CFR 84.64(b) and (c); 40 CFR 82 subpart A
App. A and App. B as amended. The blend figures are derived from these by mass.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from ledger.facts.mass import half_up
from ledger.refrigerants.register import Basis, Part, Refrigerant, register

# 40 CFR 84 App. A
EXCHANGE_VALUES = {
    "HFC-23": 14800,
    "HFC-32": 675,
    "HFC-41": 92,
    "HFC-125": 3500,
    "HFC-134": 1100,
    "HFC-134a": 1430,
    "HFC-143": 353,
    "HFC-143a": 4470,
    "HFC-152": 53,
    "HFC-152a": 124,
    "HFC-227ea": 3220,
    "HFC-236cb": 1340,
    "HFC-236ea": 1370,
    "HFC-236fa": 9810,
    "HFC-245ca": 693,
    "HFC-245fa": 1030,
    "HFC-365mfc": 794,
    "HFC-43-10mee": 1640,
}

# 40 CFR 84.64(b), table
OTHER_CONSTITUENTS = {
    "HFO-1234yf": "1",
    "HFO-1234ze(E)": "1",
    "HCFO-1233zd(E)": "4",
    "HCFO-1224yd(Z)": "1",
    "HCFO-1233yd(Z)": "1",
    "HFO-1336mzz(E)": "26",
    "HFO-1336mzz(Z)": "2",
    "HCO-1130(E)": "5",
    "HFE-347pcf2": "987",
    "HFE-449s1": "297",
    "HFE-569sf2": "59",
    "R-170": "5.5",
    "R-290": "3.3",
    "R-600": "4",
    "R-600a": "1",
    "R-1150": "3.7",
    "R-1270": "1.8",
    "CO2": "1",
    "NH3": "1",
    "dimethyl ether": "1",
    "methyl formate": "13",
}

# Worked on that basis, as printed: figure, decimals. R-508B leaves R-116 out, 84.64(c).
WORKED = {
    "R-404A": "3,921.6",
    "R-407A": "2,107",
    "R-407C": "1,773.85",
    "R-407F": "1,824.5",
    "R-410A": "2,087.5",
    "R-422D": "2,729.0",
    "R-427A": "2,138.25",
    "R-438A": "2,264.5",
    "R-448A": "1,386.1",
    "R-449A": "1,396.3",
    "R-450A": "601.2",
    "R-452A": "2,139.55",
    "R-454B": "465.4",
    "R-454C": "145.9",
    "R-455A": "145.9",
    "R-507A": "3,985",
    "R-508B": "6,808",
    "R-513A": "629.8",
    "R-515B": "287.5",
}

# 40 CFR 82 subpart A, App. A (class I) and App. B as amended (class II)
ODP = {
    "CFC-11": ("I", "1"),
    "CFC-12": ("I", "1"),
    "CFC-13": ("I", "1"),
    "CFC-113": ("I", "0.8"),
    "CFC-114": ("I", "1"),
    "CFC-115": ("I", "0.6"),
    "halon-1301": ("I", "10"),
    "HCFC-22": ("II", "0.055"),
    "HCFC-21": ("II", "0.04"),
    "HCFC-123": ("II", "0.02"),
    "HCFC-124": ("II", "0.022"),
    "HCFC-141b": ("II", "0.11"),
    "HCFC-142b": ("II", "0.065"),
}

# name: ODP by mass as printed, whether ODS only (82), or ODS and HFC (82 and 84), classes
ODS_BLENDS = {
    "R-401A": ("0.0366", "both", ("II",)),
    "R-402A": ("0.0209", "both", ("II",)),
    "R-402B": ("0.0330", "both", ("II",)),
    "R-408A": ("0.0259", "both", ("II",)),
    "R-409A": ("0.0483", "82", ("II",)),
    "R-414B": ("0.0423", "82", ("II",)),
    "R-416A": ("0.0087", "both", ("II",)),
    "R-500": ("0.738", "both", ("I",)),
    "R-502": ("0.334", "82", ("I", "II")),
    "R-503": ("0.599", "both", ("I",)),
}

# name: ods, hfc. Rows A1 to A9 of the applicability table of 40 CFR 82.157 and 84.106.
FLAGS = {
    "R-22": (True, False),
    "R-123": (True, False),
    "R-409A": (True, False),
    "R-502": (True, False),
    "R-401A": (True, True),
    "R-416A": (True, True),
    "R-410A": (False, True),
    "R-404A": (False, True),
    "R-515B": (False, True),
    "R-471A": (False, True),
    "R-744": (False, False),
    "R-717": (False, False),
    "R-290": (False, False),
    "R-1234ze(E)": (False, False),
    "R-1233zd(E)": (False, False),
    "R-218": (False, False),
    "HFE-347pcf2": (False, False),
    "R-514A": (False, False),
    "R-454B": (False, True),
    "R-509A": (True, False),
    "R-466A": (False, True),
}


def _get(name: str) -> Refrigerant:
    found = register().get(name)
    assert found is not None
    return found


def test_the_regulated_substances_are_the_eighteen_with_their_exchange_values() -> None:
    regulated = {
        c.names[0]: c.gwps["84.64"].value for c in register().components.values() if c.regulated
    }
    assert regulated == EXCHANGE_VALUES


def test_the_table_of_other_constituents_is_whole() -> None:
    others = {
        name: c.gwps["84.64"].value
        for name, c in register().components.items()
        if "84.64" in c.gwps and not c.regulated
    }
    expected = {}
    for name, value in OTHER_CONSTITUENTS.items():
        component = register().component(name)
        assert component is not None, name
        expected[component.name] = Fraction(value)
    assert others == expected


@pytest.mark.parametrize(("name", "printed"), WORKED.items())
def test_a_blend_worked_from_84_64(name: str, printed: str) -> None:
    places = len(printed.partition(".")[2])
    assert _get(name).gwp("84.64").printed(places) == printed


def test_what_the_table_does_not_list_is_left_out_and_named() -> None:
    gwp = _get("R-508B").gwp("84.64")
    assert (gwp.value, gwp.evidence) == (Fraction(6808), "read")
    assert gwp.left_out == ("R-116",)
    counted = _get("R-508B").gwp("AR4")
    assert counted.value == 13396
    assert counted.left_out == ()
    assert _get("R-401A").gwp("84.64").left_out == ("R-22", "R-124")
    assert _get("R-438A").gwp("84.64").left_out == ("R-601a",)


def test_a_substance_absent_from_the_table_has_no_gwp_and_not_a_gwp_of_zero() -> None:
    gwp = _get("R-218").gwp("84.64")
    assert (gwp.value, gwp.left_out, gwp.evidence) == (None, ("R-218",), None)
    assert gwp.printed() == "no listed GWP"
    zero = _get("R-717").gwp("EU")
    assert zero.value == 0
    assert (zero.left_out, zero.printed()) == ((), "0")


def test_every_listed_ozone_depleting_substance() -> None:
    ours = {
        c.names[0]: (c.ods_class, c.odp.value)
        for c in register().components.values()
        if c.odp is not None
    }
    assert ours == {name: (cls, Fraction(odp)) for name, (cls, odp) in ODP.items()}


@pytest.mark.parametrize(("name", "expected"), ODS_BLENDS.items())
def test_a_blend_with_ozone_depleting_substances(
    name: str, expected: tuple[str, str, tuple[str, ...]]
) -> None:
    printed, subparts, classes = expected
    refrigerant = _get(name)
    assert half_up(refrigerant.odp(), len(printed.partition(".")[2])) == printed
    assert refrigerant.ods_classes == classes
    assert refrigerant.hfc is (subparts == "both")
    assert {basis.evidence for basis in refrigerant.odp_bases()} == {"read"}


@pytest.mark.parametrize(("name", "flags"), FLAGS.items())
def test_flags_that_decide_which_subpart_applies(name: str, flags: tuple[bool, bool]) -> None:
    refrigerant = _get(name)
    assert (refrigerant.ods, refrigerant.hfc) == flags
    assert (refrigerant.odp() > 0) is flags[0]


# Derived from each set's component values, by mass; one decimal.
# "EU" is AR4 for HFCs and AR6 for HFOs (Regulation (EU) 2024/573).
BY_SET = {
    "R-404A": {"AR4": "3,921.6", "AR5": "3,942.8", "AR6": "4,728.0", "AR6-20": "7,208.0"},
    "R-410A": {"AR4": "2,087.5", "AR5": "1,923.5", "AR6": "2,255.5", "AR6-20": "4,715.0"},
    "R-407A": {"AR4": "2,107.0", "AR5": "1,923.4", "AR6": "2,262.2", "AR6-20": "4,890.0"},
    "R-454B": {
        "EU-2014": "466.3",
        "EU": "465.2",
        "AR5": "466.8",
        "AR6": "531.4",
        "AR6-20": "1,854.0",
    },
    "R-448A": {
        "EU-2014": "1,387.1",
        "EU": "1,386.0",
        "AR5": "1,273.5",
        "AR6": "1,494.4",
        "AR6-20": "3,321.9",
    },
    "R-513A": {
        "EU-2014": "631.4",
        "EU": "629.5",
        "AR5": "572.6",
        "AR6": "673.5",
        "AR6-20": "1,822.6",
    },
    "R-455A": {"EU-2014": "148.2", "EU": "145.5", "AR6": "166.2", "AR6-20": "579.7"},
}


@pytest.mark.parametrize(
    ("name", "set_name", "printed"),
    [(name, key, value) for name, row in BY_SET.items() for key, value in row.items()],
)
def test_a_blend_in_each_set(name: str, set_name: str, printed: str) -> None:
    gwp = _get(name).gwp(set_name)
    assert (gwp.printed(1), gwp.left_out) == (printed, ())


def test_ar4_has_no_hfo_and_says_so() -> None:
    gwp = _get("R-454B").gwp("AR4")
    assert (gwp.printed(3), gwp.left_out) == ("465.075", ("R-1234yf",))


def test_ar4_leaves_hydrocarbons_out_as_published_tables_do() -> None:
    """GOV.UK prints 2,264 for R-438A; with R-600 at 4 it would print 2,265."""
    gwp = _get("R-438A").gwp("AR4")
    assert (gwp.printed(), gwp.left_out) == ("2,264", ("R-600", "R-601a"))
    assert _get("R-290").gwp("AR4").value is None


def test_the_worked_mixture_of_the_european_annex() -> None:
    """Regulation (EU) 2024/573 Annex VI: 60 % dimethyl ether, 10 % R-152a, 30 % isobutane."""
    shares = {"R-E170": 60, "R-152a": 10, "R-600a": 30}
    parts = tuple(
        Part(register().components[name], Fraction(percent)) for name, percent in shares.items()
    )
    ours = Basis("ours", "memory")
    sets = register().gwp_sets
    mixture = Refrigerant("mixture", "zeotrope", parts, ours, None, None, "low", ours, None, sets)
    assert mixture.gwp("EU").printed(1) == "13.0"


def test_a_set_that_does_not_exist_is_refused_with_the_sets_that_do() -> None:
    with pytest.raises(ValueError, match=r"'AR7'.*84\.64, AR4, AR5, AR6, AR6-20, EU, EU-2014"):
        _get("R-22").gwp("AR7")
