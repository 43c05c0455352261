"""The header of a case: each key, how its value is read, and where it goes. Both file forms share it."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from typing import Any

from endfeel.vocabulary.errors import Fault
from endfeel.vocabulary.ranges import AGE_YEARS, WEEKS, of_number
from endfeel.vocabulary.terms import AREAS, Irritability, Onset, Side

YES = {"yes", "y", "true", "1", "+", "positive", "present"}
NO = {"no", "n", "false", "0", "-", "negative", "absent", "none"}
SIDES = {"r": Side.RIGHT, "rt": Side.RIGHT, "right": Side.RIGHT, "l": Side.LEFT, "lt": Side.LEFT, "left": Side.LEFT}
SEXES = {
    "f": "female", "female": "female", "woman": "female", "w": "female",
    "m": "male", "male": "male", "man": "male", "other": "other", "x": "other",
}  # fmt: skip
ONSETS = {
    **{onset.value: onset.value for onset in Onset},
    "traumatic": "trauma", "fall": "trauma", "injury": "trauma", "acute": "sudden", "insidious": "gradual",
    "slow": "gradual", "repetitive": "overuse", "unclear": "unknown",
}  # fmt: skip
IRRITABILITIES = {
    **{level.value: level for level in Irritability},
    "mild": Irritability.LOW, "medium": Irritability.MODERATE, "mod": Irritability.MODERATE,
    "severe": Irritability.HIGH,
}  # fmt: skip
WEEKS_PER = {"day": 1 / 7, "d": 1 / 7, "week": 1.0, "wk": 1.0, "w": 1.0, "month": 52 / 12, "mo": 52 / 12, "year": 52.0}
AREA_WORDS = {
    **{area: area for area in AREAS}, **{name: area for area, name in AREAS.items()},
    "ac": "ac_area", "ac joint": "ac_area", "sc": "sc_area", "sc joint": "sc_area", "shoulder blade": "scapula",
    "armpit": "axilla", "arm": "upper_arm", "anterior": "front", "posterior": "back", "thoracic": "mid_thorax",
    "deltoid": "lateral", "fingers": "hand",
}  # fmt: skip

Reader = Callable[[Any], Any]
"""A value as written (text, or any TOML value) to the value kept, or to the Fault that says what would do."""


def one_line(text: str) -> str:
    """Free words as they are kept: one line, single spaces."""
    return " ".join(text.split())


def words_of(value: object) -> str:
    """A written value as plain lower-case words."""
    return one_line(str(value)).lower().strip(" .")


def near(word: str, known: Mapping[str, Any] | tuple[str, ...], most: int = 4) -> tuple[str, ...]:
    """Known spellings close to `word`."""
    return tuple(get_close_matches(word, list(known), n=most, cutoff=0.6))


def one_of(what: str, known: Mapping[str, Any], offer: str) -> Reader:
    """A reader of one word out of a closed list with its synonyms."""

    def read(value: object) -> Any:
        word = words_of(value)
        if word in known:
            return known[word]
        alike = {spelling: known[spelling] for spelling in near(word, known)}
        return Fault(f"no such {what}", str(value), offer, candidates=tuple(dict.fromkeys(map(str, alike.values()))))

    return read


def yes_or_no(value: object) -> bool | Fault:
    word = words_of(value)
    if word in YES or word in NO:
        return word in YES
    return Fault("neither yes nor no", str(value), "yes or no")


def free_words(value: object) -> str | Fault:
    if not isinstance(value, str):
        return Fault("words are wanted here", str(value), "text")
    control = CONTROL.search(value)
    return control_fault(control) if control else one_line(value)


CONTROL = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f]")


def control_fault(found: re.Match[str]) -> Fault:
    """For a character that would steer a terminal or a printer."""
    return Fault("a control character", f"U+{ord(found[0]):04X}", "plain text without it")


def number_within(what: str, limits: tuple[float, float], whole: bool = False) -> Reader:
    """A reader of a plain number between two limits."""
    low, high = limits
    offer = f"{'a whole number' if whole else 'a number'} from {low:g} to {high:g}"

    def read(value: object) -> Any:
        if isinstance(value, bool):
            return Fault(f"{what} is not a yes or no", str(value).lower(), offer)
        try:
            number = float(str(value).strip().replace(",", "."))
        except ValueError:
            return Fault(f"{what} is not a number", str(value), offer)
        if not low <= number <= high:
            return Fault(f"{what}{of_number(number)} is out of range", str(value), offer)
        if whole and not number.is_integer():
            return Fault(f"{what} is not a whole number", str(value), offer)
        return int(number) if whole else number

    return read


def _age(value: object) -> Any:
    found = re.fullmatch(r"(.*\d)\s*(?:y|years?)", words_of(value))
    return number_within("age", AGE_YEARS, whole=True)(found[1] if found else words_of(value))


def _weeks(value: object) -> Any:
    parts = words_of(value).split()
    plain = number_within("duration in weeks", WEEKS)
    if len(parts) != 2:
        return plain(value)
    unit = parts[1] if parts[1] in WEEKS_PER else parts[1].removesuffix("s")
    if unit not in WEEKS_PER:
        return Fault("no such unit of time", str(value), "weeks, or a number with days, months or years")
    number = plain(parts[0])
    return number if isinstance(number, Fault) else plain(round(number * WEEKS_PER[unit], 1))


def _areas(value: object) -> tuple[str, ...] | Fault:
    written = value if isinstance(value, (list, tuple)) else str(value).split(",")
    found: dict[str, None] = {}
    for word in (words_of(part) for part in written if str(part).strip()):
        area = AREA_WORDS.get(word) or AREA_WORDS.get(word.replace(" ", "_").replace("-", "_"))
        if area is None:
            alike = tuple(dict.fromkeys(AREA_WORDS[w] for w in near(word, AREA_WORDS)))
            return Fault("no such area", word, "endfeel vocabulary areas", candidates=alike)
        found[area] = None
    return tuple(found)


@dataclass(frozen=True, slots=True)
class HeaderField:
    """One key of the header: the part of the case and the attribute it fills, and its reader."""

    key: str
    part: str
    """`person`, `complaint` or `case`."""
    read: Reader
    also: tuple[str, ...] = ()
    """Other spellings of the key."""


FIELDS: tuple[HeaderField, ...] = (
    HeaderField("title", "case", free_words),
    HeaderField("invented", "case", yes_or_no),
    HeaderField("age", "person", _age),
    HeaderField("sex", "person", one_of("sex", SEXES, "female, male or other"), ("gender",)),
    HeaderField(
        "dominant",
        "person",
        one_of("side", SIDES, "right or left"),
        ("dominance", "dominant side", "dominant_side", "hand", "handed"),
    ),
    HeaderField(
        "side",
        "complaint",
        one_of("side", {**SIDES, "central": None, "none": None}, "right, left or central"),
        ("complaint side",),
    ),
    HeaderField("onset", "complaint", one_of("onset", ONSETS, ", ".join(Onset))),
    HeaderField("weeks", "complaint", _weeks, ("duration",)),
    HeaderField(
        "irritability", "complaint", one_of("irritability", IRRITABILITIES, ", ".join(Irritability)), ("irritable",)
    ),
    HeaderField("areas", "complaint", _areas, ("area",)),
    HeaderField("story", "complaint", free_words, ("history",)),
)
BY_KEY: dict[str, HeaderField] = {word: field for field in FIELDS for word in (field.key, *field.also)}
