"""The shapes of what stands in a message beside words: amounts, readings, days, tickets, names.

All read the plain, lower-case text of `unclear.plain`. Common practice, no source.
"""

from __future__ import annotations

import re

from ledger.intake.text_words import NO_MOVEMENT

UNIT_OF_MASS = (
    r"(?:(?:lbs?\.?|pounds?|#)(?![a-z])"
    r"|(?:ozs?\.?|ounces?|kgs?\.?|kilos?|kilograms?|gms?|g|grams?)(?![a-z0-9]))"
)
_FIGURES = (
    r"(?:[0-9][0-9.,'/:_\\-]*[0-9ol](?![0-9a-z])|[0-9][0-9.,'/:_\\-]*[0-9]|[0-9]"
    r"|\.[0-9]+|[ol]\.[0-9]+)"
)
_DEGREES = (
    r"(?:psi[ga]?|deg(?:rees?)?(?: ?f)?|°(?: ?f)?|f|amps?|volts?|microns?|in\.? ?hg|inhg|%|mins?"
    r"|minutes?|hrs?|hours?|ft|feet|tons?|cfm|kw|rpm|mfd|uf|seer)(?![a-z0-9])"
)
_PLAIN = r"[-+]?[0-9]+(?:\.[0-9]+)?"
_SEVERAL = rf"{_PLAIN}(?: ?/ ?{_PLAIN})*"
_LABEL = (
    r"(?:suction|suct|low side|high side|head|discharge|liquid line|liquid pressure|superheat"
    r"|super heat|sh|subcool(?:ing)?|sub ?cool(?:ing)?|sc|split|delta ?t|dt|td|outdoor|outside|odt"
    r"|ambient|return air|supply air|amps?|rla|fla|volts?|microns?|target|sat|saturation)"
    r"(?: (?:temp|pressure|line|air|sat|saturation|db|wb))*"
)
_GUESS = (
    r"(?:(?:about|around|approx(?:imately)?\.?|circa|ca\.?|est\.?|maybe|roughly|up to) |[~<>]+ ?)"
)
_NO = r"\b\.?:? ?(?:no\.? ?|number ?|# ?)?"
_MONTH = r"(?:jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)[a-z]*\.?"
_ENDS = r"(?![0-9a-z/.-])"

ticket = re.compile(
    rf"(?:ticket|tkt|work order|wo){_NO}([a-z]{{0,4}}-?[0-9][0-9a-z-]*)"
    rf"|job{_NO}([0-9]{{3,}})(?![0-9a-z-])"
)
clock = re.compile(
    r"(?:(?:arrived|left|departed|out|in) )?(?:at )?"
    r"[0-9]{1,2}(?::[0-9]{2}(?: ?[ap]\.?m\.?)?| ?[ap]m)(?![0-9a-z:])"
)
day = re.compile(
    r"(?:on )?(20[0-9]{2}-[0-9]{2}-[0-9]{2}|[0-9]{1,2}/[0-9]{1,2}/(?:20)?[0-9]{2})"
    rf"{_ENDS}"
    rf"|on ([0-9]{{1,2}}/[0-9]{{1,2}}|{_MONTH} [0-9]{{1,2}}){_ENDS}(?! ?{UNIT_OF_MASS})"
)
_BEHIND = r"(?:of )?(?:superheat|subcool(?:ing)?|sh|sc|split|suction|head)(?![a-z])"
measured = re.compile(rf"{_SEVERAL} ?{_DEGREES}(?: {_BEHIND})?|{_SEVERAL} {_BEHIND}")
"""A number with a unit of pressure, temperature, current, time or length."""
labelled = re.compile(
    rf"{_LABEL}\b ?[:=@]? ?(?:was |is |at |of )?{_SEVERAL}(?![0-9a-z.,/'-]*[0-9a-z])"
    rf"(?: ?{_DEGREES})?(?! ?{UNIT_OF_MASS})"
)
"""A number behind the name of what was measured."""
plate = re.compile(
    r"(?:full charge|nameplate(?: charge)?|factory charge|data plate)(?: (?:is|of|says))? ?[:=]? ?"
    rf"{_FIGURES} ?{UNIT_OF_MASS}(?: ?{_FIGURES} ?oz)?(?![a-z0-9])"
)
greeting = re.compile(r"(?:hey|hi|hello|morning|good morning) ([a-z]+)(?=[,!])")
no_movement = re.compile(NO_MOVEMENT)
led = re.compile(
    rf"(?:cyl|cylinder|tank|bottle|jug|drum)s?{_NO}(?=[a-z0-9-]*[0-9])([a-z0-9][a-z0-9-]*)"
)
letter = re.compile(r"(?:circuit|ckt|cct)\b\.?:? ?([a-z0-9])(?![a-z0-9])")
amount = re.compile(
    rf"{_GUESS}?[-+]?{_FIGURES}(?: [0-9]+/[0-9]+(?![0-9/]))?(?:ish| or so|\?|\*)?"
    rf" ?(?:{UNIT_OF_MASS})?(?:,? ?(?:and |& ?)?{_FIGURES} ?(?:ozs?\.?|ounces?)(?![a-z0-9]))?"
    r"(?: ?(?:ish|or so|est\.?|approx\.?)(?![a-z]))?"
)
guess = re.compile(_GUESS)
loose = re.compile(
    r" (1?[0-9](?:\.[0-9]+)?)(?![0-9a-z.,/'-]*[0-9a-z])"
    r"(?! ?(?:lb|#|oz|kg|g\b|psi|f\b|amp|min))"
)
"""A second number after pounds, which may be ounces without their unit."""
in_pounds = re.compile(r"(?:lbs?\.?|pounds?|#)$")
refrigerant = re.compile(
    r"(?:refrigerant |hcfc|hfc|hcfo|hfo|cfc|r)[ -]?[0-9]{2,4}[a-z]{0,2}(?![0-9a-z])"
    r"|[0-9]{2,4}(?!(?:lb|oz|kg|g|gm|f|ft|v|c)\b)[a-z]{1,2}(?![0-9a-z])"
)
like_a_name = re.compile(
    r"[a-z]{1,6}-?[0-9]+[a-z]?(?:/[0-9a-z]+)?(?![0-9a-z])|[0-9]{3,}-[0-9a-z]+(?![0-9a-z])"
    r"|[0-9]{2}-[a-z][0-9a-z]*(?![0-9a-z])"
)
like_a_number_with_a_dash = re.compile(r"[0-9]{3,}-[0-9a-z]+")
word = re.compile(r"[a-z][a-z']*(?:-[a-z]+)*(?![a-z0-9])|[a-z0-9](?:[a-z0-9'.,-]*[a-z0-9])?|\S")
arrow = re.compile(r"-{0,2}>|=>|→")
with_slash = re.compile(r"w/ ?")
by = re.compile(r"(?:by|-{1,2}|~) ?$")
initials = re.compile(r"[a-z]{2,3}(?![a-z0-9])")
two_or_three_figures = re.compile(r"[0-9]{2,3}")
