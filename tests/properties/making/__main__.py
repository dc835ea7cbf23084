"""Makes the property tables anew from the pinned CoolProp: `python -m tests.properties.making`.

Every refrigerant of the register is built, its points guarded, held against what is published,
and measured between its nodes; what fails is left out with its reason. Nothing is written where
CoolProp is not the pinned version.
"""

from __future__ import annotations

import sys
from pathlib import Path

from ledger.properties.tables import FOLDER
from tests.properties.making.tables import COOLPROP, make, write


def main(folder: Path) -> None:
    """Write every table and the index into a folder."""
    import CoolProp

    if CoolProp.__version__ != COOLPROP:
        raise SystemExit(f"CoolProp {COOLPROP} is pinned; this is {CoolProp.__version__}.")
    made, unsound = make()
    size = write(folder, made, unsound)
    for name, reason in unsound.items():
        print(f"{name:14} no sound data: {reason}")
    for one in made:
        dropped = "; ".join(f"no {curve}: {why}" for curve, why in one.dropped.items())
        bounds = ", ".join(f"{kind} {value:.1e}" for kind, value in one.bounds.items())
        print(f"{one.name:14} {one.source:16} {bounds} {dropped}")
    print(f"{len(made)} tables, {size:,} bytes; {len(unsound)} refrigerants without sound data")


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else FOLDER)
