"""The answer where there is no sound data: a value that says what is not known and why."""

from __future__ import annotations

from dataclasses import dataclass

TYPE_IN = "Type the saturation value in from the maker's table."
"""What remains possible without data of ours."""


@dataclass(frozen=True, slots=True)
class NoSoundData:
    """No figure is given: for which refrigerant, of what, and the reason in one clause."""

    refrigerant: str
    what: str
    reason: str

    def sentence(self) -> str:
        """The answer in one sentence."""
        return f"No sound data for {self.refrigerant}, {self.what}: {self.reason}."
