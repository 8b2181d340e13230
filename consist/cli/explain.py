"""The command that tells what a word of the program means."""

from __future__ import annotations

from typing import Annotated

import typer

from consist.cli.answering import printed, printed_json
from consist.cli.options import JsonKeysOption, JsonOption

__all__ = ["explain"]


def explain(
    word: Annotated[
        list[str] | None, typer.Argument(metavar="WORD", help="The word; without one all are listed.")
    ] = None,
    json: JsonOption = False,
    json_keys: JsonKeysOption = False,
) -> None:
    """Tell what a figure, a code, a column or an exit status means.

    \b
    consist explain margin
    consist explain side-pull

    And every key, weight standard and scale: how it is worked out, where it ends and whose it is.

    Exits with 0, or with 2 where there is no such word.
    """
    from consist.report.explain import explanations, explanations_text, groups_text, meanings_of

    found = meanings_of(" ".join(word)) if word else explanations()
    if json:
        printed_json("explain", found)
    else:
        printed(explanations_text(found) if word else groups_text())
        if any(meaning.group == "desk" for meaning in found) and word:
            from consist.report.json import json_reference

            printed(f"\nThe state:\n\n{json_reference('desk state')}")
