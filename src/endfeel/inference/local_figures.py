"""One person read with the published figures, and beside that with what was counted here and at other sites. The
published reading stays the one the program goes by."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from endfeel.evidence.library import Library
from endfeel.inference.learnt import Places
from endfeel.inference.local_counts import (
    Beside,
    CountKey,
    Counts,
    Merged,
    beside,
    learnt_here,
    learnt_together,
    merge,
)
from endfeel.inference.model import Model, build_model
from endfeel.inference.observations import observe
from endfeel.inference.posterior import Belief, Posterior, infer

FOREMOST = 5
"""Contributors shown whatever the counts do to them."""
SEEN = 0.005
"""A smaller difference of probability does not show in whole per cent."""


@dataclass(frozen=True, slots=True)
class SideBySide:
    """One contributor by the published figures, with the counts here, and with those of several sites."""

    published: Belief
    here: Belief | None
    sites: Belief | None


@dataclass(frozen=True, slots=True)
class LocalFigures:
    """What counts would change for one person; nothing where no test of theirs was counted."""

    rows: tuple[SideBySide, ...]
    """As the published figures rank them: the foremost, and every one that changes."""
    tests: tuple[Beside, ...]
    """The person's tests that were counted here."""
    merged: tuple[Merged, ...]
    """The person's tests of which several sites tell, or another one alone."""
    foremost_here: Belief | None
    foremost_sites: Belief | None
    """What would stand first."""


def local_figures(
    published: Posterior,
    library: Library,
    counts: Mapping[CountKey, Counts],
    others: Sequence[Mapping[CountKey, Counts]],
) -> LocalFigures:
    """Read the case of `published` again with `counts` added to the published figures, and with those of `others` and
    one's own put together by random effects. Of a test counted by several references that with most people speaks."""
    done = {one.key for one in observe(published.case, published.model).binaries}
    mine = {place: one for place, one in counts.items() if place[0] in done}
    tests = tuple(one for one in beside(mine, published.model) if one.published)
    merged = tuple(one for one in with_others(counts, others, published.model) if one.key in done)
    here = _again(published, library, learnt_here(mine)) if tests else None
    together = _again(published, library, learnt_together(merged)) if merged else None
    rows = []
    for place, one in enumerate(published.examined):
        mates = [found.belief(one.id, one.side) if found else None for found in (here, together)]
        moved = any(mate and abs(mate.probability - one.probability) >= SEEN for mate in mates)
        if (here or together) and (place < FOREMOST or moved):
            rows.append(SideBySide(one, mates[0], mates[1]))
    return LocalFigures(tuple(rows), tests, merged, _first(here), _first(together))


def with_others(
    counts: Mapping[CountKey, Counts], others: Sequence[Mapping[CountKey, Counts]], model: Model
) -> tuple[Merged, ...]:
    """One's own counts and those of other sites put together, of the tests that another site tells of."""
    told = {place for site in others for place in site}
    mine = {place: one for place, one in counts.items() if place in told}
    return merge([site for site in (mine, *others) if site], model)


def _again(published: Posterior, library: Library, learnt: Places) -> Posterior:
    return infer(published.case, build_model(library, learnt=learnt))


def _first(found: Posterior | None) -> Belief | None:
    return next(iter(found.examined), None) if found else None
