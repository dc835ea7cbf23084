"""The limits of the program in one place: what is larger is refused in one sentence."""

from __future__ import annotations

from ledger.facts.mass import POUND, Mass

LARGEST_MOVEMENT = Mass(100_000 * POUND)
"""More than a ton cylinder or any single charge in the trade: taken for a slip of the key."""
LARGEST_TEXT = 2_000
"""Characters in a note, a reason or a field."""
LARGEST_ID = 80
"""Characters in the name of a site, unit, cylinder, person or place."""
LARGEST_BODY = 1_000_000
"""Characters of one journal body."""
LARGEST_SHEET_BYTES = 200_000_000
"""Bytes of an imported file, and of any one part inside a workbook once unpacked."""
LARGEST_SHEET_ROWS = 2_000_000
"""Rows taken from one sheet."""
LARGEST_SHEET_COLUMNS = 256
"""Columns looked at in one sheet."""
LARGEST_CELL = 32_000
"""Characters of one cell."""
LARGEST_WORKBOOK_PARTS = 5_000
"""Parts inside a workbook."""
LARGEST_WORKBOOK_RATIO = 250
"""Times that a part of a workbook may grow when it is unpacked; real sheets grow up to 60."""
LARGEST_WORKBOOK_SETTINGS = 16_000_000
"""Bytes of a part that holds neither cells nor their texts, such as styles."""
