"""The canonical text: the bytes a digest is taken over, whatever wrote them."""

from __future__ import annotations

import json
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from ledger.facts.entry import canonical

_VALUES = st.recursive(
    st.text() | st.integers() | st.booleans() | st.none(),
    lambda inner: st.lists(inner) | st.dictionaries(st.text(), inner),
)


@given(_VALUES)
def test_the_text_is_that_of_the_standard_library(value: Any) -> None:
    plain = json.dumps(value, ensure_ascii=False, sort_keys=True, separators=(",", ":"))
    assert canonical(value) == plain


def test_whole_numbers_have_no_bounds() -> None:
    assert canonical({"b": 2**70, "a": -1}) == '{"a":-1,"b":1180591620717411303424}'
