"""A simulated patient as a short code: who is drawn, under which wishes, and by which evidence release.

Seven letters carry the wishes, the seed and a mark of the release, mixed so that nobody reads the wishes off; an
eighth checks them. The check is a weighted sum over the field of 32 elements with distinct weights, so that one wrong
letter and two letters changed with each other are always noticed.
"""

from __future__ import annotations

import zlib
from dataclasses import dataclass
from enum import StrEnum

from endfeel.vocabulary import CannotRead, Fault, Irritability

LETTERS = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
"""No I, L, O, U: I and L are read as 1, O as 0."""
DRAWING = 2
"""Raised when the same seed would draw another person under the same evidence."""
SEEDS = 1 << 20
_MARKS = 1 << 9
_LETTERS, _BITS = 7, 35
_WHOLE = (1 << _BITS) - 1
_FACTOR = 0x2545F4915 | 1
_SPOKEN = str.maketrans("ILOU", "110V")


class Difficulty(StrEnum):
    CLEAR = "clear"
    USUAL = "usual"
    HARD = "hard"


class Danger(StrEnum):
    """Whether the person is in danger: as it comes, never, or always."""

    MAYBE = "maybe"
    NEVER = "never"
    ALWAYS = "always"


@dataclass(frozen=True, slots=True)
class CaseWish:
    """Who is drawn: the same wish under the same release is the same person."""

    seed: int
    difficulty: Difficulty = Difficulty.USUAL
    irritability: Irritability | None = None
    """None: as it comes."""
    danger: Danger = Danger.MAYBE

    def __post_init__(self) -> None:
        if not 0 <= self.seed < SEEDS:
            raise CannotRead([Fault("seed out of range", str(self.seed), f"0 to {SEEDS - 1}", field="seed")])


def code_of(wish: CaseWish, release: str) -> str:
    """`K7QM-2TXR`."""
    irritability = 0 if wish.irritability is None else 1 + list(Irritability).index(wish.irritability)
    told = wish.seed
    told = told << 2 | list(Difficulty).index(wish.difficulty)
    told = told << 2 | irritability
    told = told << 2 | list(Danger).index(wish.danger)
    mixed = _mix(told << 9 | _mark(release))
    signs = [mixed >> 5 * place & 31 for place in reversed(range(_LETTERS))]
    written = "".join(LETTERS[one] for one in [*signs, _check(signs)])
    return f"{written[:4]}-{written[4:]}"


def read_code(text: str, release: str) -> tuple[CaseWish, bool]:
    """The wish, and whether the code was made under this evidence release (else another person may be drawn).

    Capitals, dashes and blanks do not matter. Raises CannotRead when letters are missing or wrong.
    """
    plain = "".join(text.upper().split()).replace("-", "").translate(_SPOKEN)
    if len(plain) != _LETTERS + 1 or any(letter not in LETTERS for letter in plain):
        raise CannotRead([Fault("not a code of a case", text[:40], "eight letters and digits, such as K7QM-2TXR",
                                field="code")])  # fmt: skip
    signs = [LETTERS.index(letter) for letter in plain]
    if _check(signs[:-1]) != signs[-1]:
        raise CannotRead([Fault("a letter of the code is wrong", text[:40], "the code once more", field="code")])
    told = _unmix(sum(one << 5 * place for place, one in enumerate(reversed(signs[:-1]))))
    mark, told = told & _MARKS - 1, told >> 9
    danger, irritability, difficulty, seed = told & 3, told >> 2 & 3, told >> 4 & 3, told >> 6
    if danger >= len(Danger) or difficulty >= len(Difficulty):
        raise CannotRead([Fault("the code names nobody", text[:40], "a code made by this program", field="code")])
    wish = CaseWish(
        seed,
        list(Difficulty)[difficulty],
        list(Irritability)[irritability - 1] if irritability else None,
        list(Danger)[danger],
    )
    return wish, mark == _mark(release)


def _mark(release: str) -> int:
    return zlib.crc32(f"{DRAWING} {release}".encode()) % _MARKS


def _mix(value: int) -> int:
    """One to one on 35 bits."""
    for _ in range(3):
        value = value * _FACTOR & _WHOLE
        value ^= value >> 18
    return value


def _unmix(value: int) -> int:
    back = pow(_FACTOR, -1, _WHOLE + 1)
    for _ in range(3):
        value ^= value >> 18
        value = value * back & _WHOLE
    return value


def _check(signs: list[int]) -> int:
    """Sum of the signs, each times its own power of the field's generator."""
    total, weight = 0, 2
    for sign in signs:
        total ^= _times(sign, weight)
        weight = _times(weight, 2)
    return total


def _times(one: int, other: int) -> int:
    """Product in the field of 32 elements, modulo x^5 + x^2 + 1."""
    product = 0
    while other:
        if other & 1:
            product ^= one
        one <<= 1
        if one & 32:
            one ^= 0b100101
        other >>= 1
    return product
