"""The posterior: on a written case, from a cold start, and against exact engines on the same network."""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np

from endfeel.assessment import read_case
from endfeel.evidence.load import load_library
from endfeel.inference import Model, build_model, expected_information, infer
from endfeel.inference.contributors import Contributor, Instance
from endfeel.inference.elimination import Eliminated
from endfeel.inference.factors import BinaryFactor
from endfeel.inference.intervals import intervals
from endfeel.inference.network import Network, build_network
from endfeel.inference.observations import BinaryObservation, Observations
from endfeel.inference.pooling import Beta
from endfeel.inference.solution import Solution, solve
from endfeel.simulate import ASSUMED, draw_patient, find
from endfeel.vocabulary import Case, Side

STORY = Path(__file__).parent.parent / "stories" / "first_visit.txt"
CAUSES, FINDINGS, MOST_PARENTS = 30, 40, 6


def run() -> Iterator[dict[str, str]]:
    """Rows of the table; the peers get the same numbers and must give the same answer."""
    yield from _on_a_case()
    yield _cold()
    yield from _against_peers()


def median_ms(work: Callable[[], Any], times: int) -> float:
    """Median wall time in milliseconds; one run first to warm up."""
    work()
    taken = []
    for _ in range(times):
        began = time.perf_counter()
        work()
        taken.append((time.perf_counter() - began) * 1e3)
    return statistics.median(taken)


def _on_a_case() -> Iterator[dict[str, str]]:
    library = load_library()
    model = build_model(library)
    case = read_case(STORY.read_text(encoding="utf-8"), STORY.name, library)
    infer(case, model)
    yield {
        "what": f"posterior with 90 % interval after one more finding (each of {len(case.findings)} as the last)",
        "measured": f"{statistics.median(_one_more(case, model)):.1f} ms",
        "aim": "20 ms",
    }
    posterior = infer(case, model)
    side = case.complaint.side
    candidates = [
        (procedure.id, side if procedure.sided else None, level)
        for procedure in library.catalogue
        for level in procedure.levels or (None,)
    ]
    taken = median_ms(lambda: expected_information(posterior, candidates), 15)
    yield {"what": f"expected information of {len(candidates)} tests", "measured": f"{taken:.1f} ms", "aim": "20 ms"}
    taken = median_ms(lambda: infer(case, model).explanation, 5)
    yield {"what": "posterior and every explanation line (each finding taken out again)", "measured": f"{taken:.0f} ms"}
    yield from _growth()
    taken = median_ms(lambda: build_model(library), 5)
    yield {"what": "model of one evidence release", "measured": f"{taken:.0f} ms", "note": "once a process"}


def _one_more(case: Case, model: Model) -> Iterator[float]:
    """Milliseconds for the last finding, each being the last once; those before it were reckoned just before."""
    for last in range(len(case.findings)):
        rest = case.findings[:last] + case.findings[last + 1 :]
        infer(replace(case, findings=rest), model)
        began = time.perf_counter()
        infer(replace(case, findings=(*rest, case.findings[last])), model)
        yield (time.perf_counter() - began) * 1e3


def case_of_growth(counts: Sequence[int]) -> tuple[Model, list[Network]]:
    """All contributors, and so many findings of one simulated person."""
    library = load_library()
    model = build_model(library)
    case = read_case(STORY.read_text(encoding="utf-8"), STORY.name, library)
    generator = np.random.default_rng(4)
    fresh = replace(case, findings=(), treatments=(), retests=())
    patient = draw_patient(fresh, model, generator)
    tests = [
        (procedure.id, Side.RIGHT if procedure.sided else None, level)
        for procedure in model.catalogue
        for level in procedure.levels[:1] or (None,)
        if model.outcomes_of(procedure.id)
    ]
    order = generator.permutation(len(tests)).tolist()
    found = [one for one in (find(patient, tests[i], model, ASSUMED, generator) for i in order) if one]
    return model, [build_network(replace(fresh, findings=tuple(found[:count])), model) for count in counts]


def _growth() -> Iterator[dict[str, str]]:
    """Ever more findings: the sum alone, and 200 draws of the evidence."""
    counts = (5, 10, 20, 40, 80)
    model, networks = case_of_growth(counts)
    for count, network in zip(counts, networks, strict=True):
        solution = solve(network)
        alone = median_ms(lambda network=network: solve(anew(network)), 15)  # type: ignore[misc]
        wide = median_ms(lambda network=network: intervals(solve(anew(network)), model, 200), 7)  # type: ignore[misc]
        aims = {"aim": "5 ms and 50 ms"} if count == 40 else {}
        yield {
            "what": f"all {len(network.instances)} contributors, {count} findings: posterior; with 200 draws",
            "measured": f"{alone:.1f} ms; {wide:.0f} ms",
            "note": f"left out {solution.left_out_mass:.0e}",
        } | aims
        if count == 40:
            yield _against_memory(solution, alone)


def anew(network: Network) -> Network:
    """The same network with nothing kept from an earlier sum."""
    return replace(
        network,
        binaries=tuple(replace(factor) for factor in network.binaries),
        angles=tuple(replace(factor) for factor in network.angles),
    )


def _against_memory(solution: Solution, taken_ms: float) -> dict[str, str]:
    """How long the tables of the sum would take if only their bytes went by, written once and read twice."""
    nodes = len(solution.node_weights)
    exact = [component for component in solution.components if isinstance(component, Eliminated)]
    cells = sum(2 ** len(scope) for component in exact for scope in component.order.scopes)
    coupling = (factor for factor in solution.network.factors if factor.couples)
    cells += sum(table.size // nodes for factor in coupling for _, table in factor.pieces)
    moved = 3 * 8 * nodes * cells
    block = np.ones(64 * 2**20 // 8)
    copy_ms = median_ms(block.copy, 7)
    at_best = moved / (2 * block.nbytes / copy_ms)
    return {
        "what": "that sum of 40 findings beside the bytes of its tables",
        "measured": f"{taken_ms / at_best:.1f} times",
        "aim": "3 times",
        "note": f"{moved / 1e6:.1f} MB at {2 * block.nbytes / copy_ms / 1e6:.1f} GB/s would take {at_best:.2f} ms",
    }


def _cold() -> dict[str, str]:
    command = [sys.executable, "-m", "endfeel.cli.main", "reason", str(STORY)]
    kept = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    taken = median_ms(lambda: subprocess.run(command, check=True, stdout=subprocess.DEVNULL, env=kept), 7)  # noqa: S603
    return {
        "what": "`endfeel reason` on a written case, cold process",
        "measured": f"{taken / 1e3:.2f} s",
        "note": "median of seven, bytecode kept from the first",
        "aim": "1 s",
    }


def _against_peers() -> Iterator[dict[str, str]]:
    network = noisy_or(3, CAUSES, FINDINGS)
    mine = solve(network).probability
    own = median_ms(lambda: solve(anew(network)), 15)
    size = f"{CAUSES} causes, {FINDINGS} findings observed"
    yield {"what": f"posterior of all causes, {size}", "measured": f"{own:.1f} ms", "note": "exact, from scratch"}
    import pyagrum

    for name in ("LazyPropagation", "ShaferShenoyInference", "VariableElimination"):
        engine = getattr(pyagrum, name)
        began = time.perf_counter()
        answer = _pyagrum(pyagrum, engine, network)
        taken = (time.perf_counter() - began) * 1e3
        yield _peer(f"pyAgrum {pyagrum.__version__} {name}, all causes", taken, own, float(np.abs(answer - mine).max()))
    one, taken = _pgmpy(network)
    yield _peer("pgmpy VariableElimination, one cause only", taken, own, abs(one - float(mine[0])))


def _peer(what: str, taken: float, own: float, away: float) -> dict[str, str]:
    return {
        "what": what,
        "measured": f"{taken / 1e3:.2f} s",
        "note": f"ratio {taken / own:,.0f}; largest difference {away:.0e}",
    }


def noisy_or(seed: int, causes: int, findings: int) -> Network:
    """A random network of noisy-OR findings, about a third of them positive; no nuisance."""
    random = np.random.default_rng(seed)
    instances = []
    for i in range(causes):
        prior = float(random.uniform(0.02, 0.2))
        who = Contributor(f"c{i}", "", "", "", False, (), Beta(prior, 10.0), (), "", "", "practice")
        instances.append(Instance(i, who, None, None, prior, 1.0))
    made = []
    for f in range(findings):
        parents = np.sort(random.choice(causes, size=int(random.integers(3, MOST_PARENTS + 1)), replace=False))
        seen = bool(random.random() < 1 / 3)
        observed = BinaryObservation(f, (f"f{f}", "positive"), None, None, (float(seen), float(not seen)))
        q, leak = random.uniform(0.2, 0.9, (len(parents), 1)), random.uniform(0.02, 0.2, 1)
        made.append(
            BinaryFactor(
                observed, parents, np.arange(len(parents)), np.ones(len(parents)),
                np.log1p(-q), np.log1p(-leak), float(seen), float(not seen),
            )
        )  # fmt: skip
    return Network(tuple(instances), Observations((), (), (), ()), tuple(made), (), np.zeros(1))


def _pyagrum(pyagrum: Any, engine: Any, network: Network) -> np.ndarray:
    """Marginals of all causes; construction of the network is not spared, inference dominates."""
    net = pyagrum.BayesNet()
    for i, prior in enumerate(network.prior):
        net.add(pyagrum.LabelizedVariable(f"c{i}", "", 2))
        net.cpt(f"c{i}").fillWith([1 - prior, prior])
    for f, factor in enumerate(network.binaries):
        net.addNoisyORNet(pyagrum.LabelizedVariable(f"f{f}", "", 2), float(-np.expm1(factor.log_no_leak[0])))
        for i, log_fail in zip(factor.parents, factor.log_fail[:, 0], strict=True):
            net.addWeightedArc(f"c{i}", f"f{f}", float(-np.expm1(log_fail)))
    asked = engine(net)
    asked.setEvidence({f"f{f}": int(factor.seen) for f, factor in enumerate(network.binaries)})
    asked.makeInference()
    return np.array([asked.posterior(f"c{i}")[1] for i in range(len(network.instances))])


def _pgmpy(network: Network) -> tuple[float, float]:
    """(probability of the first cause, milliseconds of the query)."""
    from pgmpy.factors.discrete import TabularCPD
    from pgmpy.inference import VariableElimination
    from pgmpy.models import DiscreteBayesianNetwork

    net = DiscreteBayesianNetwork()
    for i, prior in enumerate(network.prior):
        net.add_node(f"c{i}")
        net.add_cpds(TabularCPD(f"c{i}", 2, [[1 - prior], [prior]]))
    for f, factor in enumerate(network.binaries):
        names = [f"c{i}" for i in factor.parents]
        net.add_edges_from([(name, f"f{f}") for name in names])
        bits = np.array(np.unravel_index(np.arange(2 ** len(names)), [2] * len(names)))
        fail = np.exp(factor.log_no_leak[0] + factor.log_fail[:, 0] @ bits)
        net.add_cpds(TabularCPD(f"f{f}", 2, [fail, 1 - fail], names, [2] * len(names)))
    evidence = {f"f{f}": int(factor.seen) for f, factor in enumerate(network.binaries)}
    began = time.perf_counter()
    answer = VariableElimination(net).query(["c0"], evidence=evidence, show_progress=False)
    return float(answer.values[1]), (time.perf_counter() - began) * 1e3
