"""What the words of the program mean, each told from where it is declared: nothing is said here itself."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

from consist.errors import refuse
from consist.intake import Field, declared, declared_tables
from consist.names import near_hint, quoted
from consist.report.json import Key, json_keys
from consist.scales import SCALES, known_scale
from consist.stock import published_standards, weight_standard

__all__ = ["Meaning", "explanations", "explanations_text", "groups_text", "meanings_of"]


@dataclass(frozen=True)
class Meaning:
    """What a word means in one group of words; what is not known of it is empty."""

    word: str
    group: str
    means: str
    how: str = ""
    limits: str = ""
    source: str = ""
    example: str = ""


@cache
def explanations() -> tuple[Meaning, ...]:
    """Every meaning of every word, group by group."""
    return (*_told(), *_standards(), *_scales(), *_fields(), *_keys())


def meanings_of(word: str) -> tuple[Meaning, ...]:
    """The meanings of a word, whatever its case, hyphens and underscores; of a scale in any of its spellings.

    >>> [meaning.group for meaning in meanings_of("Side-Pull")]
    ['finding']

    Raises `InputError` for a word that has none.
    """
    scale = known_scale(word)
    found = tuple(
        meaning
        for meaning in explanations()
        if _plain(meaning.word) == _plain(word)
        or (scale is not None and (meaning.group, meaning.word) == ("scale", scale.name))
    )
    if not found:
        hint = near_hint(word, {meaning.word: None for meaning in explanations()})
        more = hint or "; 'consist explain' alone lists those there are"
        raise refuse(f"explain {quoted(word)}", f"found no word or code of this name{more}")
    return found


def groups_text() -> str:
    """All words, a paragraph a group."""
    groups: dict[str, dict[str, None]] = {}
    for meaning in explanations():
        groups.setdefault(meaning.group.split(",")[0], {})[meaning.word] = None
    from consist.report.terminal import plain_lines, this_terminal

    width = this_terminal().width
    told = [plain_lines(", ".join(words), f"{group}:", width=width) for group, words in groups.items()]
    return "\n".join(told) + "\nconsist explain WORD tells what one means.\n"


def explanations_text(meanings: Sequence[Meaning]) -> str:
    """The meanings of a word, a paragraph each."""
    from consist.report.terminal import plain_lines, this_terminal

    width, told = this_terminal().width, []
    for meaning in meanings:
        told.append(plain_lines(f"{meaning.word} ({meaning.group}): {meaning.means}", width=width))
        more = {"How": meaning.how, "Limits": meaning.limits, "Source": meaning.source, "Example": meaning.example}
        told += [plain_lines(text, f"  {name}:", width=width) for name, text in more.items() if text]
    return "".join(told)


def _plain(word: str) -> str:
    return " ".join(word.replace("-", " ").replace("_", " ").split()).casefold()


def _told() -> Iterator[Meaning]:
    text = (files("consist.report") / "meanings.toml").read_text(encoding="utf-8")
    for group, words in tomllib.loads(text).items():
        for word, said in words.items():
            yield Meaning(word, group, **said)


def _standards() -> Iterator[Meaning]:
    for name, standard in published_standards().items():
        length = "body" if standard["length"] == "body" else "over buffers or couplers"
        how = f"By the length {length}; it has figures for {', '.join(standard['scale'])}."
        means = f"The weight standard {standard['title']}: what a car of a given length ought to weigh."
        example = f"consist target --standard {name} --scale HO --length 6in"
        yield Meaning(name, "weight standard", means, how, source=standard["source"], example=example)


def _scales() -> Iterator[Meaning]:
    for scale in SCALES.values():
        means = f"1 to {scale.ratio:g}, gauge {scale.gauge_mm:g} mm, couplers {scale.coupler_height_mm:.4g} mm high."
        weights = weight_standard(None, scale)
        how = weights.note or f"Its cars are weighed by {weights.title} where no standard is named."
        yield Meaning(scale.name, "scale", means, how, source=scale.source)


def _fields() -> Iterator[Meaning]:
    for table in declared_tables():
        for field in declared(table):
            yield from _columns(table, field)


def _columns(table: str, field: Field) -> Iterator[Meaning]:
    means = field.help[:1].upper() + field.help[1:].replace("\n", " ")
    limits = f"It takes {field.range_words}." if field.range_words else ""
    how = f"Left out, it is {field.default_words}." if field.default_words else ""
    for word in dict.fromkeys((field.name, *field.columns)):
        yield Meaning(word, f"column or key, of {table.replace('_', ' ')}", means, how, limits)


def _keys() -> Iterator[Meaning]:
    where: dict[tuple[str, str], list[str]] = {}
    for command, keys in json_keys().items():
        for key, path in _within(keys):
            where.setdefault((key.name, key.says), []).append(f"{command}: {path}")
    for (word, says), paths in where.items():
        yield Meaning(word, "key of --json", f"{says[:1].upper()}{says[1:]}.", f"It stands in {', '.join(paths)}.")


def _within(keys: Sequence[Key], above: str = "") -> Iterator[tuple[Key, str]]:
    for key in keys:
        yield key, above + key.name
        yield from _within(key.parts, f"{above}{key.name}.")
