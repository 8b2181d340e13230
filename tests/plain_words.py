"""How every message and every finding is worded, whichever test it comes up in."""

from __future__ import annotations

import re

__all__ = ["badly_worded"]

QUOTED = re.compile(r"'[^']*'|\"[^\"]*\"")
SHORT_FOR = {
    "CSV", "UTF", "HO", "TT", "NEM", "NMRA", "RP", "ODS", "XLS", "XLSX", "COLUMN", "HEADING", "CAR", "WEIGHT", "JSON",
    "TOML", "SVG", "PDF", "PNG", "HTML", "AMRA", "PERCENT", "SPOT",
}  # fmt: skip
"""Words in capitals that a message may hold outside of quotes."""


def badly_worded(text: str, *, sentence: bool = False) -> str | None:
    """What is wrong with a message's words, or with a `sentence`'s, which may hold names without quotes, if anything.

    A message begins small and has no full stop, since it goes on after the place it is about; a sentence has one.
    No word is half in capitals, and none is in capitals but for what it is short for.
    """
    plain = QUOTED.sub("'x'", " ".join(text.split())).replace("...", "x")
    if sentence != plain.rstrip(")").endswith(".") and not plain.endswith("?"):
        return "a sentence without its full stop" if sentence else "a message with a full stop"
    if re.search(
        r"[ ,;:.][ ,;:]|\.\.|^ | $", plain.replace(", ", ",").replace("; ", ";").replace(": ", ":").replace(". ", ".")
    ):
        return "blanks or stops in a row"
    if re.search(r"[A-Z]{2}[a-z]{2}|[a-z]{2}[A-Z]{2}", plain):
        return "a word half in capitals"
    if sentence:
        shouted = re.search(r"\b[A-Z]{2,}( [A-Z]{2,}){2}\b(?! \d)", plain)
        return f"words in capitals: {shouted[0]}" if shouted else None
    if re.match(r"[A-Z][a-z]* [a-z]", plain):
        return "a message that begins like a sentence"
    shouted = next((word for word in re.findall(r"\b[A-Z]{3,}\b(?! \d)", plain) if word not in SHORT_FOR), None)
    return f"a word in capitals: {shouted}" if shouted else None
