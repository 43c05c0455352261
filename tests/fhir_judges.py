"""Independent judges of FHIR R4: the official JSON schema, a library made from the official definitions, and the
required elements and codes of the official definitions themselves.

The schema knows some required codes, misses required elements that are plain values, and a choice element given twice.
The library knows no codes. The definitions know every required element and code, and nothing of unknown names.
"""

from __future__ import annotations

import functools
import hashlib
import json
import lzma
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import fhirkit
import jsonschema_rs

KEPT = Path(__file__).parent / "kept" / "fhir"
SCHEMA = KEPT / "fhir.schema.json.xz"


def schema_text() -> bytes:
    return lzma.decompress(SCHEMA.read_bytes())


def schema_digest() -> str:
    return hashlib.sha256(schema_text()).hexdigest()


@functools.cache
def _whole() -> Any:
    """The schema as it is."""
    return jsonschema_rs.validator_for(json.loads(schema_text()))


@functools.cache
def _of_kind(kind: str) -> Any:
    """One kind of resource alone: the whole schema would only say that none of its hundred kinds fits."""
    whole = json.loads(schema_text())
    one = {"$schema": whole["$schema"], "definitions": whole["definitions"], "$ref": f"#/definitions/{kind}"}
    return jsonschema_rs.validator_for(one)


def fits_schema(resource: dict[str, Any]) -> bool:
    """Whether the official schema takes it, a bundle with all its entries."""
    return bool(_whole().is_valid(resource))


def schema_faults(resource: dict[str, Any]) -> list[str]:
    """What the official schema has against a resource, or against the entries of a bundle."""
    if fits_schema(resource):
        return []
    inside = [one["resource"] for one in resource.get("entry", []) if "resource" in one]
    told = [fault for one in inside for fault in schema_faults(one)]
    if told:
        return told
    kind = str(resource.get("resourceType"))
    found = _of_kind(kind).iter_errors(resource)
    return [f"{kind} {'/'.join(map(str, one.instance_path))}: {one.message[:200]}" for one in found]


def library_faults(resource: dict[str, Any]) -> list[str]:
    """What the library made from the official definitions has against it."""
    return [str(one) for one in fhirkit.validate(resource)]


@functools.cache
def _definitions() -> dict[str, Any]:
    return dict(json.loads((KEPT / "definitions.json").read_text(encoding="utf-8")))


def definition_faults(resource: dict[str, Any]) -> list[str]:
    """Required elements that are missing and codes that are none of the required ones, by the official definitions."""
    kind = str(resource.get("resourceType"))
    if kind not in _definitions():
        return [f"{kind}: no definition is kept of this kind"]
    return list(_against(_definitions()[kind], resource, kind))


def _against(rules: list[dict[str, Any]], value: dict[str, Any], place: str) -> Iterator[str]:
    for rule in rules:
        name, at = rule["name"], f"{place}.{rule['name']}"
        if name not in value:
            if rule.get("required"):
                yield f"{at}: required, missing"
            continue
        parts = value[name] if isinstance(value[name], list) else [value[name]]
        for part in parts:
            if "codes" in rule and not set(_codes(part)) & set(rule["codes"]):
                yield f"{at}: {_codes(part)} is none of the required codes"
            if isinstance(part, dict):
                if rule["type"] == "Resource":
                    yield from definition_faults(part)
                else:
                    yield from _against(rule.get("inside") or _definitions().get(rule["type"], []), part, at)


def _codes(value: Any) -> list[str]:
    """Of a code, a coding, or a concept with several."""
    if isinstance(value, str):
        return [value]
    return [value.get("code", "")] if "coding" not in value else [one.get("code", "") for one in value["coding"]]


def faults(resource: dict[str, Any]) -> list[str]:
    """All judges together."""
    return schema_faults(resource) + library_faults(resource) + definition_faults(resource)
