"""The level to which an appliance is evacuated before it is opened: 40 CFR 82.156, Table 1."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date

from ledger.answers.working import Input, RuleRef, Working
from ledger.facts.mass import POUND, Mass, pounds
from ledger.law.for_rates import rule_ref
from ledger.law.loader import FEDERAL_82F, Pack, RuleValue, load_pack

CLASSES = ("low", "medium", "high", "very high")
"""The pressure classes of 40 CFR 82.152."""

INCHES = "in Hg vacuum"
"""Inches of mercury under the atmosphere of the table, 29.9 inches."""


@dataclass(frozen=True, slots=True)
class Job:
    """What the level turns on.

    `pressure` is the class of the refrigerant; `charge` the full charge of the appliance or of
    the isolated component, None where it is not known; `machine_made` the day the recovery
    equipment was made or imported, None where that is not known; `small` a small appliance (made,
    charged and sealed in a factory with 5 lb or less), and `running` whether its compressor runs.
    `ozone` says whether the refrigerant holds a class I or II substance.
    """

    pressure: str
    charge: Mass | None
    machine_made: date | None
    on: date
    ozone: bool
    small: bool = False
    running: bool = True


@dataclass(frozen=True, slots=True)
class Level:
    """One level of the table with what it rests on.

    `value` and `unit` are the law's own: "10 in Hg vacuum", "25 mm Hg absolute"; in place of a
    level a small appliance may give up `percent` of its refrigerant.
    """

    value: int
    unit: str
    base_tenths: int
    percent: int | None
    when: str
    rules: tuple[RuleRef, ...]

    @property
    def text(self) -> str:
        """The level as it is told."""
        level = f"{self.value} {self.unit}"
        if self.unit == INCHES and not self.value:
            level = "0 in Hg vacuum (atmospheric pressure)"
        if self.percent is None:
            return level
        return f"recover {self.percent} % of the refrigerant, or evacuate to {level}"

    @property
    def depth(self) -> tuple[int, int]:
        """Sorts levels, the deepest first: by absolute pressure, then by the share recovered."""
        hundredths = self.value * 100
        if self.unit == INCHES:
            # Of a millimetre of mercury; a tenth of an inch is 2.54 of them.
            hundredths = (self.base_tenths - 10 * self.value) * 254
        return hundredths, -(self.percent or 0)


@dataclass(frozen=True, slots=True)
class Evacuation:
    """The levels that may apply to a job: one, or several where something is not known.

    `missing` names what would decide between them; `binding` tells whether the section reaches
    the refrigerant on that day, and `notes` what stands beside the table.
    """

    job: Job
    levels: tuple[Level, ...]
    missing: tuple[str, ...]
    binding: bool
    notes: tuple[str, ...]
    stamp: str

    def working(self) -> Working:
        """The explanation of the answer."""
        job = self.job
        size = "unknown" if job.charge is None else f"{pounds(job.charge)} lb"
        made = "unknown" if job.machine_made is None else job.machine_made.isoformat()
        rules = tuple(dict.fromkeys(rule for level in self.levels for rule in level.rules))
        return Working(
            "Evacuation level before opening or disposing",
            "the row of Table 1 for pressure class and full charge, its column for the day the"
            " recovery equipment was made or imported",
            (
                Input("pressure class", job.pressure),
                Input("full charge of the appliance or isolated component", size),
                Input("recovery equipment made", made),
                Input("small appliance", "yes" if job.small else "no"),
                Input("day of the work", job.on.isoformat()),
            ),
            "; or ".join(level.text for level in self.levels),
            rules,
            (*self.notes, f"rules: {self.stamp}"),
        )


def evacuation(job: Job, known_at: date | None = None) -> Evacuation | None:
    """The level or levels for a job; None on a day before the section was in force."""
    pack = load_pack(FEDERAL_82F)
    cut = pack.value("evacuation-machine-date", job.on, known_at)
    if cut is None:
        return None
    found = _Rules(pack, job.on, known_at)
    ages = _ages(job, cut)
    sizes = _sizes(job, found)
    sizes = ("",) if job.small else sizes
    told: dict[tuple[int, str, int | None], list[tuple[str, str, Level]]] = {}
    for size in sizes:
        for age in ages:
            one = _small(found, job, age) if job.small else _level(found, job, size, age)
            told.setdefault((one.value, one.unit, one.percent), []).append((size, age, one))
    levels = [
        replace(
            cases[0][2], when=_when(found, [case[:2] for case in cases], sizes, ages),
            rules=tuple(dict.fromkeys(rule for *_, one in cases for rule in one.rules)),
        )
        for cases in told.values()
    ]  # fmt: skip
    missing = []
    if len(told) > 1:
        missing += ["the full charge"] if len(sizes) > 1 else []
        missing += ["the day the recovery equipment was made"] if len(ages) > 1 else []
    binds = job.ozone or pack.value("evacuation-substitutes", job.on, known_at) is not None
    return Evacuation(
        job, tuple(sorted(levels, key=lambda one: one.depth)), tuple(missing), binds,
        _notes(found, job, binds), pack.stamp,
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class _Rules:
    """The values of the pack on one day."""

    pack: Pack
    on: date
    known_at: date | None

    def value(self, name: str) -> RuleValue:
        found = self.pack.value(f"evacuation-{name}", self.on, self.known_at)
        assert found is not None and isinstance(found.value, int)
        return found

    def whole(self, name: str) -> int:
        value = self.value(name).value
        assert isinstance(value, int)
        return value

    def ref(self, name: str) -> RuleRef:
        return rule_ref(self.pack, self.value(name))


def _ages(job: Job, cut: RuleValue) -> tuple[str, ...]:
    if job.machine_made is None:
        return ("newer", "older")
    assert isinstance(cut.value, date)
    return ("older",) if job.machine_made < cut.value else ("newer",)


def _sizes(job: Job, found: _Rules) -> tuple[str, ...]:
    """Small or large by the full charge, both where it is not known and matters."""
    if job.pressure in ("low", "very high"):
        return ("",)
    if job.charge is None:
        return ("large", "small")
    return ("large",) if job.charge >= found.whole("large-pounds") * POUND else ("small",)


def _level(found: _Rules, job: Job, size: str, age: str) -> Level:
    row = "-".join(filter(None, (job.pressure.replace(" ", "-"), size, age)))
    value = found.value(row)
    rules = [found.ref(row), found.ref("base")]
    if size:
        rules.append(found.ref("large-pounds"))
    return Level(
        found.whole(row), value.unit, found.whole("base"), None, "", tuple(rules)
    )  # fmt: skip


def _small(found: _Rules, job: Job, age: str) -> Level:
    row = "small-older" if age == "older" else f"small-{'running' if job.running else 'idle'}"
    return Level(
        found.whole("small-inches"), found.value("small-inches").unit, found.whole("base"),
        found.whole(row), "", (found.ref(row), found.ref("small-inches")),
    )  # fmt: skip


def _when(
    found: _Rules, cases: list[tuple[str, str]], sizes: tuple[str, ...], ages: tuple[str, ...]
) -> str:
    """What one of several levels turns on, in words; `cases` are the sizes and ages it is for."""
    limit = found.whole("large-pounds")
    charge = {"large": f"{limit} lb or more", "small": f"under {limit} lb", "": ""}
    cut = found.pack.value("evacuation-machine-date", found.on, found.known_at)
    assert cut is not None
    made = {
        "older": f"equipment made before {cut.value}",
        "newer": f"equipment made on or after {cut.value}",
    }
    of_ages: dict[tuple[str, ...], list[str]] = {}
    for size in dict.fromkeys(size for size, _ in cases):
        its = tuple(age for age in ages if (size, age) in cases)
        of_ages.setdefault(its, []).append(size)
    parts = []
    for its, those in of_ages.items():
        words = (
            "any charge"
            if len(those) == len(sizes) > 1
            else " or ".join(charge[size] for size in those)
        )
        day = "any equipment" if len(its) > 1 else made[its[0]]
        parts.append(", ".join(filter(None, (words, day))))
    return "; ".join(parts)


def _notes(found: _Rules, job: Job, binds: bool) -> tuple[str, ...]:
    notes = []
    if not binds:
        notes.append(
            "On this day the section reached class I and II substances only; the level is shown"
            " as for them."
        )
    if job.small:
        return tuple(notes)
    how = "pressurized with heat, not nitrogen, to " if job.pressure == "low" else ""
    notes += [
        f"Not major and not followed by evacuation to the air: {how}{_ruled(found, 'not-major')}.",
        f"Oil change: {_ruled(found, 'oil-change')}.",
        "Where leaks make the level unattainable or would contaminate what is recovered: isolate"
        " the leaking parts, evacuate the others to the level, the leaking ones as low as can be,"
        f" {_ruled(found, 'leaking')}.",
        "The level is verified before the appliance is opened, and is that of the isolated"
        " component where one is isolated.",
    ]
    return tuple(notes)


def _ruled(found: _Rules, name: str) -> str:
    ref = found.ref(name)
    return f"{ref.value} ({ref.cite})"
