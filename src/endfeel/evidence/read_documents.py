"""Documents (TOML): parsed, searched for figures where the declaration says, and checked for sources and labels."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

import tomli

from endfeel.evidence.figures import Figure, Provenance, Source
from endfeel.evidence.schema import DocumentSchema, FigurePlace
from endfeel.vocabulary import Fault

LABELS: dict[str, Provenance] = {label.label: label for label in Provenance}
_AT = re.compile(r"\(at line (\d+), column (\d+)\)")
Path = tuple[str | int, ...]


def parse_document(file: str, text: str, faults: list[Fault]) -> dict[str, Any]:
    """The parsed document; an empty one, with a fault, when it is not valid TOML."""
    try:
        return tomli.loads(text)
    except tomli.TOMLDecodeError as error:
        place = _AT.search(str(error))
        line, column = (int(place[1]), int(place[2])) if place else (0, 0)
        faults.append(Fault(f"not valid TOML: {error}", line=line, column=column, file=file))
        return {}


def document_figures(
    schema: DocumentSchema, document: Mapping[str, Any], sources: Mapping[str, Source]
) -> Iterator[Figure]:
    """Every figure of a document; entries without a known source or label are left to `document_faults`."""
    for place in schema.places:
        for name, entry, outer in _entries(document, place.at, schema.name):
            yield from _entry_figures(name, entry, outer, place, sources)


def _entries(
    node: Mapping[str, Any], path: tuple[str, ...], name: str, outer: tuple[Mapping[str, Any], ...] = ()
) -> Iterator[tuple[str, Mapping[str, Any], tuple[Mapping[str, Any], ...]]]:
    key, rest = path[0], path[1:]
    found = node.get(key, ())
    listed = found if isinstance(found, list) else [found] if found else []
    for index, entry in enumerate(listed, 1):
        if not isinstance(entry, Mapping):
            continue
        own = key if isinstance(found, Mapping) else f"{key.removesuffix('s')}{index}"
        label = f"{name}.{entry.get('id', own)}"
        if rest:
            yield from _entries(entry, rest, label, (*outer, node))
        else:
            yield label, entry, (*outer, node)


def _entry_figures(
    name: str,
    entry: Mapping[str, Any],
    outer: tuple[Mapping[str, Any], ...],
    place: FigurePlace,
    sources: Mapping[str, Source],
) -> Iterator[Figure]:
    for key in place.values:
        if key not in entry:
            continue
        source = sources.get(_first(_nearest(key, "source", entry, outer)))
        label = LABELS.get(str(_nearest(key, "provenance", entry, outer) or place.provenance))
        if source is None or label is None:
            continue
        prefix = f"{name}.{key}" if len(place.values) > 1 else name
        for figure_id, value in _values(prefix, key, entry[key]):
            low, high = _number(entry.get(place.low)), _number(entry.get(place.high))
            ends = value is not None and high is not None and place.low == key
            yield Figure(
                figure_id,
                None if ends or isinstance(value, str) else float(value),
                f"{_plain(value)} to {_plain(high)}" if ends else _plain(value),
                place.unit or str(entry.get(place.unit_key, "")),
                low if high is not None or place.low != key else None,
                high,
                entry[place.n] if isinstance(entry.get(place.n), int) else None,
                str(entry.get(place.population, "")),
                source,
                label,
                str(entry.get("note", "")),
            )


def _values(prefix: str, key: str, value: Any) -> Iterator[tuple[str, float | str]]:
    if isinstance(value, Mapping):
        for leaf, number in value.items():
            if _number(number) is not None:
                yield f"{prefix}.{leaf}", number
    elif isinstance(value, list):
        for index, one in enumerate(value, 1):
            if isinstance(one, str) or _number(one) is not None:
                yield f"{prefix}.{key if not prefix.endswith(key) else ''}{index}".replace("..", "."), one
    elif isinstance(value, str) or _number(value) is not None:
        yield prefix, value


def _nearest(key: str, what: str, entry: Mapping[str, Any], outer: tuple[Mapping[str, Any], ...]) -> Any:
    """Source or label of one key: its own (`licence_source` serves `licence_note`), else that of what it stands in."""
    for holder in (entry, *reversed(outer)):
        for name in (f"{key}_{what}", f"{key.rpartition('_')[0]}_{what}", what):
            if name in holder:
                return holder[name]
    return ""


def _first(source: Any) -> str:
    return str(source[0]) if isinstance(source, list) and source else str(source)


def _number(value: Any) -> float | None:
    return float(value) if isinstance(value, int | float) and not isinstance(value, bool) else None


def _plain(value: float | str | None) -> str:
    return value if isinstance(value, str) else f"{value:.10g}" if value is not None else ""


def unlabelled_facts(
    schema: DocumentSchema, document: Mapping[str, Any], sources: Mapping[str, Source]
) -> Iterator[Fault]:
    """Declared facts that became no figure because they name no known source or no label."""
    for place in schema.places:
        for name, entry, outer in _entries(document, place.at, schema.name):
            made = {figure.id for figure in _entry_figures(name, entry, outer, place, sources)}
            for key in place.values:
                prefix = f"{name}.{key}" if len(place.values) > 1 else name
                wanted = [figure_id for figure_id, _ in _values(prefix, key, entry.get(key))]
                if not made.issuperset(wanted):
                    message, would_do = "a fact without source or label", f"{key}_source or source, and a label"
                    yield Fault(message, read=prefix, would_do=would_do, file=f"{schema.name}.toml", field=key)


def document_faults(
    file: str, text: str, document: Mapping[str, Any], sources: Mapping[str, Source]
) -> Iterator[Fault]:
    """Every `source` that is no id of sources.csv and every label that is none of the three."""
    lines = text.splitlines()
    for path, key, value in _cited_keys(document, ()):
        if key == "provenance" or key.endswith("_provenance"):
            if value not in LABELS:
                line, column = _locate(lines, path, key, str(value))
                wanted = "read, memory or practice"
                yield Fault(
                    "unknown provenance",
                    read=str(value),
                    would_do=wanted,
                    line=line,
                    column=column,
                    file=file,
                    field=key,
                )
            continue
        for source_id in value if isinstance(value, list) else [value]:
            if source_id not in sources:
                line, column = _locate(lines, path, key, str(source_id))
                wanted = "an id of sources.csv"
                yield Fault(
                    "unknown source",
                    read=str(source_id),
                    would_do=wanted,
                    line=line,
                    column=column,
                    file=file,
                    field=key,
                )


def cited_sources(document: Mapping[str, Any]) -> Iterator[str]:
    """Every source id a document uses."""
    for _, key, value in _cited_keys(document, ()):
        if not key.endswith("provenance"):
            yield from value if isinstance(value, list) else [value]


def _cited_keys(node: Any, path: Path) -> Iterator[tuple[Path, str, Any]]:
    if isinstance(node, Mapping):
        for key, value in node.items():
            names_source = key in ("source", "provenance") or key.endswith(("_source", "_provenance"))
            if names_source and isinstance(value, str | list):
                yield path, key, value
            elif path or key != "meta":
                yield from _cited_keys(value, (*path, key))
    elif isinstance(node, list):
        for index, value in enumerate(node):
            yield from _cited_keys(value, (*path, index))


def _locate(lines: Sequence[str], path: Path, key: str, value: str) -> tuple[int, int]:
    """Line and column of a key: down the `[[headers]]` of its path, then the line that holds key and value."""
    start, names = 0, []
    for step, following in zip(path, (*path[1:], None), strict=True):
        if isinstance(step, int):
            continue
        names.append(step)
        header = f"[[{'.'.join(names)}]]" if isinstance(following, int) else f"[{'.'.join(names)}]"
        skip = following if isinstance(following, int) else 0
        places = [at for at in range(start, len(lines)) if lines[at].strip() == header][: skip + 1]
        if len(places) <= skip:
            break
        start = places[-1]
    for at in range(start, len(lines)):
        column = lines[at].find(f"{key} =")
        if column >= 0 and value in lines[at]:
            return at + 1, column + 1
    return start + 1, 1
