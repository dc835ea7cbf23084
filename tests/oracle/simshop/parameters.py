"""What is drawn for a shop before its year begins, and never told to the program.

Ranges are wider than the trade's usual figures and than any default of the program, on both
sides: hoses that keep a fifth of an ounce or six ounces, a scale that is right or reads 0.4 %
high, an office that forgets no ticket or one in twenty-five.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from random import Random

from tests.oracle.simshop.matter import REFRIGERANTS

TRUCKS = tuple(f"Truck {number}" for number in range(1, 7))
WAREHOUSE = "Warehouse"
YEAR = 2025

NO_HEEL, POUND_EACH, WEIGHED = "books no heel", "books 1 lb each", "weighs its empties"
"""What a shop does about heels when it scraps disposables."""


@dataclass(frozen=True, slots=True)
class Theft:
    """A truck from which refrigerant disappears: `mode` is cylinders, pounds or both.

    `first` is the month it begins; `total_lb` at which it ends, if it comes so far; `times` on how
    many nights.
    """

    truck: str
    mode: str
    first: int
    total_lb: float
    times: int


@dataclass(frozen=True, slots=True)
class Parameters:
    """One shop. Shares and rates are of 1; masses in pounds; `_spread` a standard deviation.

    `hoses` is what a hook-up leaves outside the cylinder with R-410A, by truck, the warehouse
    last. `gain_spread`, `offset_spread`, `noise` are those of scales. `coarse` is whether scales
    show the steps of trade scales; without errors they show thousandths of a pound. `terse` is
    the share of tickets that name neither a time nor, where only a net was read, a scale.
    """

    seed: int
    refrigerants: tuple[str, ...]
    jobs_a_day: float
    share_idle: float
    share_recovery: float
    charge_lb: float
    hoses: tuple[float, ...]
    share_net: float
    share_primed: float
    tells_primed: float
    terse: float
    heel_factor: float
    heel_spread: float
    heel_hows: tuple[float, float, float, float]
    heel_policy: str
    tells_how: float
    gain_spread: float
    offset_spread: float
    noise: float
    coarse: bool
    tare_spread: float
    label_spread: float
    forgotten: float
    late: float
    late_days: int
    doubled: float
    wrong_cylinder: float
    wrong_elsewhere: float
    unreceived: float
    received_late: float
    leaking: float
    leak_lb_a_day: float
    theft: Theft | None


def drawn(seed: int) -> Parameters:
    """The shop of a seed. Odd seeds have a theft, so that half of any run of seeds has one."""
    r = Random(f"simshop parameters {seed}")
    names = [one.name for one in REFRIGERANTS]
    hose = r.uniform(0.2, 6.0) / 16
    return Parameters(
        seed=seed,
        refrigerants=tuple(sorted(r.sample(names, r.randint(3, 5)))),
        jobs_a_day=r.uniform(0.9, 2.4),
        share_idle=r.uniform(0.15, 0.45),
        share_recovery=r.uniform(0.08, 0.3),
        charge_lb=r.uniform(1.5, 5.0),
        hoses=tuple(hose * r.uniform(0.5, 1.6) for _ in range(len(TRUCKS) + 1)),
        share_net=r.uniform(0.05, 0.5),
        share_primed=r.uniform(0.2, 0.9),
        tells_primed=r.uniform(0.6, 1.0),
        terse=r.uniform(0.05, 0.4),
        heel_factor=r.uniform(0.5, 1.8),
        heel_spread=r.uniform(0.02, 0.25),
        heel_hows=(r.uniform(0.1, 1), r.uniform(0.2, 1), r.uniform(0.05, 0.5), r.uniform(0, 0.3)),
        heel_policy=r.choice((NO_HEEL, NO_HEEL, POUND_EACH, WEIGHED)),
        tells_how=r.uniform(0.5, 1.0),
        gain_spread=r.uniform(0, 0.002),
        offset_spread=r.uniform(0, 0.1),
        noise=r.uniform(0.002, 0.05),
        coarse=True,
        tare_spread=r.uniform(0.02, 0.25),
        label_spread=r.uniform(0, 0.08),
        forgotten=r.uniform(0, 0.04),
        late=r.uniform(0, 0.08),
        late_days=r.randint(6, 70),
        doubled=r.uniform(0, 0.03),
        wrong_cylinder=r.uniform(0, 0.03),
        wrong_elsewhere=r.uniform(0.3, 0.9),
        unreceived=r.uniform(0, 0.08),
        received_late=r.uniform(0.2, 0.8),
        leaking=r.uniform(0, 0.05),
        leak_lb_a_day=r.uniform(0.003, 0.05),
        theft=_theft(r) if seed % 2 else None,
    )


def _theft(r: Random) -> Theft:
    return Theft(
        truck=r.choice(TRUCKS),
        mode=r.choice(("cylinders", "pounds", "both")),
        first=r.randint(2, 8),
        total_lb=r.uniform(40, 200),
        times=r.randint(10, 30),
    )


def without_errors(parameters: Parameters) -> Parameters:
    """The same shop where everything is weighed exactly, written down once and nothing lost."""
    return replace(
        parameters, hoses=(0.0,) * len(parameters.hoses), share_net=0.0, heel_policy=WEIGHED,
        gain_spread=0.0, offset_spread=0.0, noise=0.0, coarse=False, tare_spread=0.0,
        label_spread=0.0, forgotten=0.0, late=0.0, doubled=0.0, wrong_cylinder=0.0,
        unreceived=0.0, leaking=0.0, theft=None,
    )  # fmt: skip
