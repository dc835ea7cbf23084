"""The virgin share of reclaimed refrigerant, held against 40 CFR 84.112 by the rule data."""

from __future__ import annotations

import re
from datetime import date
from fractions import Fraction

from ledger.facts.problems import refuse


def virgin_share(text: str) -> str:
    """A share in percent as it stands on the label; refused where it is none."""
    words = text.replace("%", "").strip()
    if words and (not re.fullmatch(r"\d{1,3}(\.\d{1,3})?", words) or Fraction(words) > 100):
        raise refuse("value-unclear", f'"{text}" is no percentage.', "Write it as 12.5.")
    return words


def provenance(day: str, refrigerant: str, share: str) -> str:
    """What to say of a share on an ISO day: over the most the rule allows, or not recorded.

    The rule is on regulated substances; refrigerant without an HFC in it is not asked about.
    """
    from ledger.refrigerants.register import register

    known = register().get(refrigerant)
    if known is None or not known.hfc:
        return ""
    from ledger.law.loader import FEDERAL_84C, load_pack

    value = load_pack(FEDERAL_84C).value("reclaim-virgin-max", date.fromisoformat(day))
    if value is None or not isinstance(value.value, int):
        return ""
    if not share:
        return (
            f"The virgin share is not given (--virgin-percent); the label says it ({value.cite})."
        )
    if Fraction(share) > value.value:
        return (
            f"{share} % virgin is more than {value.value} %: an HFC is not sold as reclaimed so"
            f" ({value.cite}); ask the supplier."
        )
    return ""
