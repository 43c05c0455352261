"""Numbers in words."""

from __future__ import annotations

_ONES = (
    "zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve",
    "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen",
)  # fmt: skip
_TENS = ("", "", "twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety")


def in_words(number: int) -> str:
    """A whole number from 0 to 999 as it is said: `one hundred and five`. Raises ValueError outside."""
    if not 0 <= number <= 999:
        raise ValueError(f"{number} is not said here; 0 to 999")
    hundreds, rest = divmod(number, 100)
    if hundreds:
        head = f"{_ONES[hundreds]} hundred"
        return f"{head} and {in_words(rest)}" if rest else head
    if rest < len(_ONES):
        return _ONES[rest]
    tens, ones = divmod(rest, 10)
    return f"{_TENS[tens]} {_ONES[ones]}" if ones else _TENS[tens]
