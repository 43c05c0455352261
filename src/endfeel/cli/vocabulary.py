"""`endfeel vocabulary`: every id with its name."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Mapping

from endfeel.cli.terminal import print_json, style


def configure(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("words", nargs="*", help="a list (procedures, end_feels, cues, ...) and words to search for")
    parser.add_argument("--json", action="store_true", help="one JSON object: release, and list → id → name")


def run(options: argparse.Namespace) -> int:
    """Print the lists asked for (all by default), narrowed to lines that hold every word."""
    lists = vocabulary_lists()
    wanted = [word.replace("-", "_") for word in options.words]
    chosen = [name for name in lists if name in wanted] or list(lists)
    words = [word.lower() for word in options.words if word.replace("-", "_") not in lists]
    shown = {
        name: {key: text for key, text in lists[name].items() if all(w in f"{key} {text}".lower() for w in words)}
        for name in chosen
    }
    if options.json:
        from endfeel.evidence.load import load_library

        release = load_library().release
        print_json({"release": release, **shown})
        return 0 if any(shown.values()) else 1
    for name, entries in shown.items():
        if entries:
            print(style(f"{name.replace('_', ' ')} ({len(entries)})", "head"))
            width = max(len(key) for key in entries)
            for key, text in entries.items():
                print(f"  {key.ljust(width)}  {text}")
    if not any(shown.values()):
        print(f"endfeel: nothing found for '{' '.join(options.words)}'; `endfeel vocabulary` alone lists everything",
              file=sys.stderr)  # fmt: skip
        return 1
    return 0


def vocabulary_lists() -> dict[str, Mapping[str, str]]:
    """Every closed list of the program: list name → id → name."""
    from endfeel.evidence.load import load_library
    from endfeel.vocabulary import (
        AREAS,
        LEVELS,
        MOBILITY_NAMES,
        RIBS,
        Irritability,
        Onset,
        Position,
        Result,
        Side,
        Unit,
    )

    library = load_library()
    documents = library.documents
    return {
        "procedures": {p.id: f"{p.name} [{p.region}, {p.outcomes}]" for p in library.catalogue},
        "end_feels": {e["id"]: f"{e['name']}: {e['feel']}" for e in documents["joint_rules"]["end_feel"]},
        "cues": {c["id"]: c["question"] for c in documents["safety_rules"]["cue"]},
        "contributors": {c["id"]: c["name"] for c in documents["contributors"]["contributor"]},
        "measures": {m["id"]: m["name"] for m in documents["outcome_measures"]["measure"]},
        "mobility": {str(grade): name for grade, name in enumerate(MOBILITY_NAMES)},
        "results": {r.value: r.value.replace("_", " ") for r in Result},
        "levels": {level: f"{level} and the joint below it" for level in LEVELS} | {r: f"rib {r[1:]}" for r in RIBS},
        "sides": {side.value: side.value for side in Side},
        "positions": {p.value: p.value.replace("_", "-") for p in Position},
        "units": {unit.value: unit.name.lower().replace("_", " ") for unit in Unit},
        "areas": AREAS,
        "onsets": {o.value: o.value for o in Onset},
        "irritability": {i.value: i.value for i in Irritability},
    }
