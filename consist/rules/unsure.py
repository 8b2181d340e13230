"""What a train's verdict leaves open: it goes by the figures taken, and might not by others just as possible."""

from __future__ import annotations

from consist.rules.case import Case, Finding
from consist.wording import percent

__all__ = ["OFTEN", "unsure"]

OFTEN = 0.1
"""From more than this share of draws on hold a train that is not is a matter of care: assumption."""


def unsure(case: Case, hold_share: float, to_do: str) -> list[Finding]:
    """Of care where over a tenth of the draws of what was not measured are on hold, and the train itself is not.

    It stands apart from `RULES`: the draws are made after all rules have spoken, by whoever asks for ranges.
    `to_do` says what to measure; `value` is the share of draws, `limit` a tenth.
    """
    if hold_share <= OFTEN:
        return []
    often = percent(hold_share, OFTEN)
    say = f"What was not measured leaves it open: in {often} of cases this train is on hold; {to_do}."
    return [Finding("unsure", "care", say, value=hold_share, limit=OFTEN)]
