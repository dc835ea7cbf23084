"""The checks of a template's cells: lists to choose from, possible days, weights above nothing."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date
from typing import TYPE_CHECKING, Any

from ledger.facts.calendar import EARLIEST

if TYPE_CHECKING:
    from ledger.reports.templates import TemplateColumn

LAST_ROW = 2_001
"""The last row that is checked: two thousand below the headings."""
HEAVIEST_LB = 20_000
"""More than any cylinder or charge; a day that a program took a weight for is more, too."""

_FIRST_DAY = EARLIEST.toordinal() - date(1899, 12, 30).toordinal()
_TITLE, _PROMPT, _ERROR = 32, 255, 225
"""The most characters a program shows of a title, of help, of an error."""

_DAY_ERROR = "This is no day, or one in the future. Write it as 2026-03-30; June has 30 days."
_WEIGHT_ERROR = 'Write pounds above nothing: 4.5. Ounces with their unit: "4 lb 8 oz"; never 4-8.'


def checks_of(
    column: TemplateColumn, letter: str, action: str, lists: Mapping[str, list[str]]
) -> Iterator[Any]:
    """The data validation of a column at a letter, as openpyxl has it; one at the most.

    `action` is the letter of the column that says what was done. A column whose list is empty
    keeps its help and takes any words.
    """
    from openpyxl.worksheet.datavalidation import DataValidation

    chosen = column.choices if column.choices in lists else ""
    kinds = _of_list(column) if chosen else _of_shape(column, f"{letter}2", f"{action}2")
    check = DataValidation(
        sqref=f"{letter}2:{letter}{LAST_ROW}", allowBlank=True, showInputMessage=True,
        showErrorMessage="error" in kinds, promptTitle=column.heading[:_TITLE],
        prompt=_prompt(column)[:_PROMPT], **kinds,
    )  # fmt: skip
    if "error" in kinds:
        check.errorTitle = column.heading[:_TITLE]
        check.error = str(kinds["error"])[:_ERROR]
    yield check


def _prompt(column: TemplateColumn) -> str:
    """The help shown while a cell is filled in."""
    example = f"Example: {column.example}." if column.example else ""
    return " ".join(filter(None, (column.what, example, column.caution)))


def _of_list(column: TemplateColumn) -> dict[str, Any]:
    """A list from the book may be left for a name that is new; one of words may not."""
    rule = {"type": "list", "formula1": f"list_{column.choices}"}
    if column.free:
        return rule | {
            "errorStyle": "warning",
            "error": "This is not in the book under that name. Check the spelling; keep it where"
            " it is new.",
        }
    return rule | {"error": "Choose one of the list."}


def _of_shape(column: TemplateColumn, cell: str, action: str) -> dict[str, Any]:
    shape = column.shape
    if shape in ("mass", "amount"):
        return _of_mass(column, cell, action)
    if shape == "past or unknown":
        day = f"AND(ISNUMBER({cell}),{cell}>={_FIRST_DAY},{cell}<=TODAY())"
        return {"type": "custom", "formula1": f'OR({day},{cell}="unknown")',
                "error": f"{_DAY_ERROR} Or write unknown."}  # fmt: skip
    rules: dict[str, dict[str, Any]] = {
        "past": {"type": "date", "operator": "between", "formula1": str(_FIRST_DAY),
                 "formula2": "TODAY()", "error": _DAY_ERROR},
        "day": {"type": "date", "operator": "greaterThanOrEqual", "formula1": str(_FIRST_DAY),
                "error": "This is no day. Write it as 2026-03-30; June has 30 days."},
        "time": {"type": "time", "operator": "between", "formula1": "0",
                 "formula2": "0.999988425925926", "error": "Write the time as 14:05."},
        "money": {"type": "decimal", "operator": "between", "formula1": "0",
                  "formula2": "1000000", "error": "Write dollars and cents: 12.50."},
        "whole": {"type": "whole", "operator": "between", "formula1": "0",
                  "formula2": "1000000", "error": "Write a whole number."},
    }  # fmt: skip
    return rules.get(shape, {})


def _of_mass(column: TemplateColumn, cell: str, action: str) -> dict[str, Any]:
    """A number of pounds, or words that name a unit; as the column allows, nothing or unknown."""
    units = ",".join(f'ISNUMBER(SEARCH("{unit}",{cell}))' for unit in ("lb", "oz", "kg", " g"))
    ways = [f"AND(ISNUMBER({cell}),{cell}>0,{cell}<={HEAVIEST_LB})",
            f"AND(ISTEXT({cell}),OR({units}))"]  # fmt: skip
    error = _WEIGHT_ERROR
    if column.also == "recover":
        ways.append(f'AND(ISNUMBER({cell}),{cell}=0,{action}="recover")')
        error += " 0 on a recovery that brought nothing."
    elif column.also:
        ways.append(f'{cell}="{column.also}"')
        error += f" Or write {column.also}."
    return {"type": "custom", "formula1": f"OR({','.join(ways)})", "error": error}
