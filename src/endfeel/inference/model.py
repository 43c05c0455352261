"""The compiled model of one evidence release: contributors, links, nuisances."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from endfeel.evidence.library import Library
from endfeel.inference.contributors import Contributor, Modifier, read_contributors
from endfeel.inference.degrees import degree_specs
from endfeel.inference.examiner import Examiner, hands_of, leaning
from endfeel.inference.families import read_families
from endfeel.inference.learnt import Places, learn
from endfeel.inference.links import AngleSpec, BinarySpec, Key, angle_specs, binary_specs, read_links
from endfeel.inference.nuisances import Array, Nodes, slope_of, spread, standard_nodes
from endfeel.inference.parameters import Parameters
from endfeel.inference.recent import Recent
from endfeel.vocabulary import Catalogue

_LAYOUTS = 12
"""Layouts kept; each takes one or two megabytes, with its factors up to twenty."""


@dataclass(frozen=True, slots=True)
class SpecNodes:
    """A binary outcome at the nodes of its nuisance."""

    leak: Array
    """(NODES,)"""
    log_fail: Array
    """(causes, NODES) log of (1 - causal probability)."""


@dataclass(frozen=True)
class Model:
    """Everything `infer` needs, built once from a library by `build_model`."""

    release: str
    catalogue: Catalogue
    parameters: Parameters
    contributors: tuple[Contributor, ...]
    modifiers: tuple[Modifier, ...]
    binaries: Mapping[Key, BinarySpec]
    angles: Mapping[str, AngleSpec]
    pairs: Mapping[str, tuple[str, ...]]
    """Angular motion to the accessory glides that belong to it."""
    nodes: Nodes
    at_nodes: Mapping[Key, SpecNodes]
    families: Mapping[Key, str]
    """Outcome to the family of tests it is dependent with."""
    kept: dict[object, object] = field(default_factory=dict, compare=False, repr=False)
    """Seeded draws computed once from the links; never from a case."""
    layouts: Recent = field(default_factory=lambda: Recent(_LAYOUTS), compare=False, repr=False)
    """What was laid out for the contributors of the last few cases."""

    @cached_property
    def _outcomes(self) -> Mapping[str, tuple[str, ...]]:
        found: dict[str, tuple[str, ...]] = {}
        for procedure, outcome in self.binaries:
            found[procedure] = (*found.get(procedure, ()), outcome)
        return found

    def outcomes_of(self, procedure: str) -> tuple[str, ...]:
        """The binary outcomes of a procedure that say something."""
        return self._outcomes.get(procedure, ())

    def nodes_of(self, key: Key) -> NDArray[np.intp]:
        """(NODES * NODES,) which node of the nuisance that moves this outcome each joint node has."""
        moved_by = self.binaries[key].loading
        return self.nodes.provocation_index if moved_by == "provocation" else self.nodes.laxity_index


def build_model(library: Library, examiner: Examiner | None = None, learnt: Places | None = None) -> Model:
    """The model of this evidence release, for the hands of `examiner` where theirs were measured, and with what was
    `learnt` from counts where somebody asks what they would change."""
    parameters = Parameters.of(library.documents["inference"])
    contributors, modifiers = read_contributors(library)
    hands = hands_of(library, parameters, examiner)
    links, angle_links = read_links(library, parameters, hands)
    links = learn(links, learnt or {})
    specs = binary_specs(links, contributors, library)
    binaries = {key: leaning(spec, hands) for key, spec in specs.items()}
    return compile_model(
        library.release,
        library.catalogue,
        parameters,
        contributors,
        modifiers,
        binaries | degree_specs(binaries, contributors, parameters, hands),
        angle_specs(angle_links, contributors, library, hands),
        {row.text["motion"]: tuple(row.text["glides"].split()) for row in library.tables["accessory_pairs"]},
        read_families(library),
    )


def compile_model(
    release: str,
    catalogue: Catalogue,
    parameters: Parameters,
    contributors: tuple[Contributor, ...],
    modifiers: tuple[Modifier, ...],
    binaries: Mapping[Key, BinarySpec],
    angles: Mapping[str, AngleSpec],
    pairs: Mapping[str, tuple[str, ...]],
    families: Mapping[Key, str],
) -> Model:
    """A model from its parts, spread over the nuisance nodes."""
    nodes = standard_nodes()
    return Model(
        release, catalogue, parameters, contributors, modifiers, binaries, angles, pairs, nodes,
        _all_at_nodes(binaries, parameters, nodes), families,
    )  # fmt: skip


def loading_slope(loading: str, parameters: Parameters) -> float:
    """Slope on the logit scale for one standard deviation of the nuisance that moves this outcome."""
    if loading == "provocation":
        return slope_of(parameters["provocation_correlation"])
    if loading == "slack":
        return slope_of(parameters["mobility_correlation"])
    if loading == "stiff":
        return -slope_of(parameters["mobility_correlation"])
    return 0.0


def _all_at_nodes(binaries: Mapping[Key, BinarySpec], parameters: Parameters, nodes: Nodes) -> dict[Key, SpecNodes]:
    """All outcomes in one sweep per loading: leak and each cause alone keep their averages over the nodes."""
    made: dict[Key, SpecNodes] = {}
    for loading in ("provocation", "slack", "stiff", "none"):
        specs = [spec for spec in binaries.values() if spec.loading == loading]
        if not specs:
            continue
        shares: list[float] = []
        for spec in specs:
            leak = spec.leak.mean
            shares.append(leak)
            shares += [1.0 - (1.0 - leak) * (1.0 - q) for _, q, _ in spec.causes]
        table = spread(np.clip(np.array(shares), 1e-9, 1.0 - 1e-9), loading_slope(loading, parameters), nodes)
        row = 0
        for spec in specs:
            leak_row = table[row]
            alone = table[row + 1 : row + 1 + len(spec.causes)]
            made[spec.key] = SpecNodes(leak_row, np.log1p(-alone) - np.log1p(-leak_row))
            row += 1 + len(spec.causes)
    return made
