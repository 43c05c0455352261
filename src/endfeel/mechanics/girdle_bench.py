"""The bench on which claims about the AC and SC joints are put to the model, and the words in which it answers."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from endfeel.evidence.figures import number
from endfeel.evidence.library import Library
from endfeel.mechanics import acromioclavicular, sternoclavicular
from endfeel.mechanics.girdle_glides import Glide, force_in, portion
from endfeel.mechanics.girdle_ligaments import GirdleFigures, read_girdle
from endfeel.mechanics.ligament_springs import Flags, Floats, SpringJoint


@dataclass(frozen=True, slots=True)
class Bench:
    """The two joints under test, of one person or of many, with the figures of the claims."""

    library: Library
    of: GirdleFigures
    ac: SpringJoint
    sc: SpringJoint

    def set_to(self, name: str) -> float:
        """A stated value of the checks themselves, such as what counts as small."""
        return self.of.mean(f"girdle.{name}")


Found = tuple[str, Flags]
"""What the model says in words, and for whom the claim holds."""
Check = Callable[[Bench], Found]
Loaded = Callable[[Bench, Sequence[str]], Glide]
"""A joint under one load, after section of some structures."""


def bench_of(library: Library, people: int = 0, seed: int = 1, assuming: Mapping[str, float] | None = None) -> Bench:
    """The joints of the mean person, or of a drawn population; with assumed values in the place of figures."""
    of = read_girdle(library, assuming)
    ac, sc = acromioclavicular, sternoclavicular
    if not people:
        return Bench(library, of, ac.default_joint(library, assuming), sc.default_joint(library, assuming))
    return Bench(
        library,
        of,
        ac.drawn_joints(library, people, seed, assuming),
        sc.drawn_joints(library, people, seed, assuming),
    )


def study(row: str) -> str:
    """The figure of a row of the restraint studies."""
    return f"restraint_studies.{row}.value"


def rule(name: str) -> str:
    """The figure of a glide rule of the trade."""
    return f"joint_rules.glide_{name}.glide"


def leads(loaded: Loaded, band: str) -> Check:
    """A band bears more force than any other under a load."""

    def check(bench: Bench) -> Found:
        found = loaded(bench, ())
        forces = {name: force_in(found, (name,)) for name in found.pull_n}
        return ranking(forces), is_first(forces, band)

    return check


def more_after(loaded: Loaded, structure: str) -> Check:
    """Section of a structure lets the bone go notably farther."""

    def check(bench: Bench) -> Found:
        percent = percent_more(bench, loaded, structure)
        return f"{value_of(percent):.0f} % more", percent >= bench.set_to("notable_change_percent")

    return check


def more_as_recalled(loaded: Loaded, structure: str, row: str, word: str) -> Check:
    """Section of a structure lets the bone go about as much farther as a row recalls after a word."""

    def check(bench: Bench) -> Found:
        percent = percent_more(bench, loaded, structure)
        published = number_after(bench.library.figure(row).text, word)
        factor = bench.set_to("remembered_factor")
        near = (percent >= published / factor) & (percent <= published * factor)
        return f"{word} {value_of(percent):.0f} % more", near

    return check


def percent_more(bench: Bench, loaded: Loaded, structure: str) -> Floats:
    """How much farther the bone goes after section of a structure, in percent."""
    more: Floats = (loaded(bench, (structure,)).along_m / loaded(bench, ()).along_m - 1.0) * 100.0
    return more


def portion_near(move: Callable[[Bench], Glide], bands: Sequence[str], row: str) -> Check:
    """A share recalled without its spread: the structure leads and the share is near."""

    def check(bench: Bench) -> Found:
        found = move(bench)
        share = portion(found, bands) * 100.0
        near = np.abs(share - number(bench.library.figure(row))) <= bench.set_to("remembered_points")
        others = [portion(found, (band,)) * 100.0 for band in found.tension_n if band not in bands]
        return f"{value_of(share):.0f} %", near & (share >= np.max(others, axis=0))

    return check


def value_of(value: Floats) -> float:
    """The value of one person, for the words; to a tenth; of a population its median, which nobody reads."""
    return round(float(np.median(value)), 1) + 0.0


def ranking(values: Mapping[str, Floats], unit: str = "N") -> str:
    ordered = sorted(values.items(), key=lambda item: -value_of(item[1]))
    return ", ".join(f"{name} {value_of(value):.0f} {unit}" for name, value in ordered[:3])


def is_first(values: Mapping[str, Floats], name: str) -> Flags:
    others = np.max([value for other, value in values.items() if other != name], axis=0)
    leads: Flags = np.asarray(values[name] > others)
    return leads


def within_sd(bench: Bench, row: str, found: Floats) -> Flags:
    near: Flags = np.abs(found - number(bench.library.figure(f"{row}.value"))) <= number(
        bench.library.figure(f"{row}.sd")
    )
    return near


def number_after(text: str, word: str) -> float:
    """The number that follows a word, as in `anterior 41, posterior 106`."""
    for part in text.split(","):
        name, _, value = part.strip().partition(" ")
        if name == word:
            return float(value)
    raise ValueError(f"no number for {word!r} in {text!r}")


def number_in_brackets(text: str) -> float:
    """The spread in words such as `56 (23)`."""
    return float(text.partition("(")[2].partition(")")[0])
