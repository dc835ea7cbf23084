"""Deliberately broken register files, each with the words its message must contain."""

from __future__ import annotations

import pytest

from ledger.refrigerants.register import RegisterError, read

COMPONENTS = """
[gwp_sets]
"AR4" = { title = "Fourth report", horizon_years = 100 }

[components]
R-1 = { class = "HFC", names = ["HFC-1"], regulated = true }
R-2 = { class = "HCFC", names = ["HCFC-2"], ods = "II" }

[[odp]]
source = "a list"
evidence = "read"
[odp.values]
R-2 = 0.05

[[gwp]]
set = "AR4"
source = "a report"
evidence = "secondary"
[gwp.values]
R-1 = 100
"""

REGISTER = """
[sources.std]
cite = "a standard"
evidence = "memory"

[refrigerants.R-1]
kind = "pure"
safety = "A1"
safety_source = "std"
pressure = "high"
pressure_source = "std"
psia_104f = 200

[refrigerants.R-499A]
kind = "zeotrope"
composition = { R-1 = 60.5, R-2 = 39.5 }
composition_source = "std"
pressure = "medium"
pressure_source = "std"
"""

# what is replaced in components.toml, by what, words of the message
BROKEN_COMPONENTS = [
    ('class = "HFC"', 'clas = "HFC"', "components.R-1", "unknown key 'clas'"),
    ('class = "HFC", ', "", "components.R-1", "missing key 'class'"),
    ('class = "HFC"', 'class = "XFC"', "components.R-1.class", "'XFC' is none of CFC, HCFC"),
    ('ods = "II"', 'ods = "III"', "components.R-2.ods", "'III' is none of I, II"),
    ('names = ["HFC-1"]', 'names = "HFC-1"', "components.R-1.names", "array of texts"),
    ('["HFC-1"]', '["hcfc-2"]', "components.R-2.names", "'HCFC-2' is a name of R-1"),
    ('["HFC-1"]', '["R-2"]', "components.R-1.names", "'R-2' is a name of R-2"),
    ("regulated = true", 'regulated = "yes"', "components.R-1.regulated", "true or false"),
    (', ods = "II"', "", "components.R-2", "an ODP but no class I or II"),
    ("R-2 = 0.05", "", "components.R-2.ods", "without an ODP"),
    ("R-2 = 0.05", "R-3 = 0.05", "odp[1].values.R-3", "no component of this file"),
    ("R-1 = 100\n", 'R-1 = "100"\n', "gwp[1].values.R-1", "must be a number"),
    ("R-1 = 100\n", "R-1 = true\n", "gwp[1].values.R-1", "must be a number"),
    ("R-1 = 100\n", "R-1 = -1\n", "gwp[1].values.R-1", "must not be below 0"),
    ("R-1 = 100\n", "R-1 = nan\n", "not readable as TOML", "nan"),
    ("R-1 = 100\n", "R-1 = 1\nR-1 = 2\n", "not readable as TOML", "line"),
    ('set = "AR4"', 'set = "AR9"', "gwp[1].set", "'AR9' is none of AR4"),
    ('source = "a report"\n', "", "gwp[1]", "missing key 'source'"),
    ('source = "a report"', 'source = " "', "gwp[1].source", "not empty"),
    ('evidence = "secondary"', 'evidence = "sure"', "gwp[1].evidence", "'sure' is none of read"),
    ('evidence = "secondary"\n', "", "gwp[1]", "missing key 'evidence'"),
    ("[[odp]]", "[ozone]\n[[odp]]", "unknown key 'ozone'", "known are gwp_sets, components"),
    ("horizon_years = 100", "years = 100", "gwp_sets.AR4", "unknown key 'years'"),
    ("[[odp]]", "[odp]", "odp", "array of tables"),
    (
        'R-1 = { class = "HFC", names = ["HFC-1"], regulated = true }',
        "R-1 = 5",
        "components.R-1",
        "must be a table",
    ),
]

BROKEN_REGISTER = [
    ('kind = "pure"', 'sort = "pure"', "refrigerants.R-1", "unknown key 'sort'"),
    ('kind = "pure"\n', "", "refrigerants.R-1", "missing key 'kind'"),
    ('kind = "pure"', 'kind = "mixed"', "refrigerants.R-1.kind", "'mixed' is none of pure"),
    ("R-2 = 39.5", "R-2 = 39.4", "refrigerants.R-499A.composition", "adds to 99.9 and not to 100"),
    ("R-2 = 39.5", "R-2 = 39.5000001", "refrigerants.R-499A.composition", "not to 100"),
    ("R-2 = 39.5", "R-7 = 39.5", "refrigerants.R-499A.composition", "unknown component 'R-7'"),
    ("R-2 = 39.5", "R-2 = 0", "refrigerants.R-499A.composition.R-2", "more than 0"),
    ("R-1 = 60.5, R-2 = 39.5", "R-1 = 100", "refrigerants.R-499A.composition", "two components"),
    ("composition = { R-1 = 60.5, R-2 = 39.5 }\n", "", "refrigerants.R-499A", "missing key"),
    ('composition_source = "std"\n', "", "refrigerants.R-499A", "'composition_source'"),
    ('kind = "zeotrope"', 'kind = "pure"', "refrigerants.R-499A.composition", "its own"),
    ("[refrigerants.R-1]", "[refrigerants.R-7]", "refrigerants.R-7", "unknown component 'R-7'"),
    ('safety = "A1"', 'safety = "A4"', "refrigerants.R-1.safety", "'A4' is none of A1"),
    ('safety_source = "std"\n', "", "refrigerants.R-1", "'safety_source'"),
    ('safety_source = "std"', 'safety_source = "book"', "refrigerants.R-1.safety_source", "'book'"),
    ('pressure = "high"', 'pressure = "low"', "R-1.psia_104f", "200 psia is high, not low"),
    ('pressure = "high"', 'pressure = "tall"', "refrigerants.R-1.pressure", "'tall' is none of"),
    ("psia_104f = 200", 'psia_104f = "200"', "refrigerants.R-1.psia_104f", "must be a number"),
    ('cite = "a standard"\n', "", "sources.std", "missing key 'cite'"),
    ("[sources.std]", "[source.std]", "unknown key 'source'", "known are sources, refrigerants"),
    ('kind = "zeotrope"', "kind = zeotrope", "not readable as TOML", "line"),
]


def _message(components: str, refrigerants: str) -> str:
    with pytest.raises(RegisterError) as raised:
        read(components, refrigerants)
    return str(raised.value)


def test_the_sound_pair_is_read() -> None:
    blend = read(COMPONENTS, REGISTER).refrigerants["R-499A"]
    assert blend.gwp("AR4").printed(1) == "60.5"
    assert blend.gwp("AR4").left_out == ("R-2",)


@pytest.mark.parametrize(("good", "bad", "place", "words"), BROKEN_COMPONENTS)
def test_a_broken_components_file(good: str, bad: str, place: str, words: str) -> None:
    assert good in COMPONENTS
    message = _message(COMPONENTS.replace(good, bad, 1), REGISTER)
    assert message.startswith("components.toml: ")
    assert place in message
    assert words in message


@pytest.mark.parametrize(("good", "bad", "place", "words"), BROKEN_REGISTER)
def test_a_broken_register_file(good: str, bad: str, place: str, words: str) -> None:
    assert good in REGISTER
    message = _message(COMPONENTS, REGISTER.replace(good, bad, 1))
    assert message.startswith("register.toml: ")
    assert place in message
    assert words in message


def test_one_substance_has_one_value_in_a_set() -> None:
    again = '[[gwp]]\nset = "AR4"\nsource = "a draft"\nevidence = "memory"\nvalues = { R-1 = 9 }'
    message = _message(COMPONENTS + again, REGISTER)
    assert "components.toml: gwp[2].values.R-1: has a value already, from 'a report'" in message


def test_decimals_are_exact() -> None:
    third = read(COMPONENTS.replace("R-1 = 100\n", "R-1 = 0.1\n"), REGISTER).components["R-1"]
    assert third.gwps["AR4"].value * 10 == 1
