"""The cautions that every printed sheet carries, and the words for what this program never claims."""

from __future__ import annotations

TAG = "Temporary removal tag. Not a part marking or release. Take it off at refit."

# US rule: 14 CFR 91.407(b). Other countries have their own.
CONTROLS: tuple[str, ...] = (
    "Critical items were disturbed. Whether a flight check is needed before passengers are carried (in the United "
    "States 14 CFR 91.407) is for the certificated person to decide, not for this sheet.",
)

SHEET: tuple[str, ...] = (
    "This sheet is a shop aid. It does not replace the manufacturer's current maintenance manual, the "
    "maintenance record, or the judgement and signature of the certificated person responsible. Where they "
    "differ, the manual and that person prevail, and local rules apply.",
    "\"Reconciled\" means that what was recorded as coming off is recorded as having gone back or is "
    "accounted for. It says nothing about the condition of the aircraft and is no release to service.",
    "What was never recorded cannot be missed here. Inspect the work itself.",
)

# of a sheet that is read in the middle of the work: nothing is reconciled yet, and nobody thinks of flying
IN_BETWEEN: tuple[str, ...] = (SHEET[0], SHEET[2])
