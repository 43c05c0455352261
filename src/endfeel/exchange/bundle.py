"""Resources in one bundle: a file that stands alone, or an answer of a server."""

from __future__ import annotations

import uuid
from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime
from typing import Any

from endfeel.exchange.elements import Json, derived_id, moment


def collection(resources: Iterable[Json], at: datetime, bundle_id: str) -> Json:
    """A bundle to be handed over: every reference leads to an entry of the bundle itself."""
    kept = list(resources)
    names = {address_of(one): full_url(one) for one in kept}
    return {
        "resourceType": "Bundle",
        "id": bundle_id,
        "type": "collection",
        "timestamp": moment(at),
        "entry": [{"fullUrl": full_url(one), "resource": _renamed(one, names)} for one in kept],
    }


def search_set(
    found: Sequence[Json], base: str, link: str, total: int, next_link: str = "", others: Iterable[Json] = ()
) -> Json:
    """Answer of a search at a server whose addresses begin with `base`."""
    links = [{"relation": "self", "url": link}] + ([{"relation": "next", "url": next_link}] if next_link else [])
    entries = [*((one, "match") for one in found), *((one, "outcome") for one in others)]
    return {
        "resourceType": "Bundle",
        "type": "searchset",
        "total": total,
        "link": links,
        **(
            {
                "entry": [
                    {"fullUrl": f"{base}/{address_of(one)}", "resource": one, "search": {"mode": mode}}
                    for one, mode in entries
                ]
            }
            if entries
            else {}
        ),
    }


def address_of(resource: Mapping[str, Any]) -> str:
    """`Patient/id`."""
    return f"{resource['resourceType']}/{resource['id']}"


def full_url(resource: Mapping[str, Any]) -> str:
    """A name for the entry: its id where that is unique everywhere, else one derived from it."""
    try:
        own = str(uuid.UUID(resource["id"]))
    except ValueError:
        own = ""
    unique = own if own == resource["id"] else derived_id(address_of(resource))
    return f"urn:uuid:{unique}"


def _renamed(value: Any, names: Mapping[str, str]) -> Any:
    if isinstance(value, dict):
        return {
            key: names.get(part, part) if key == "reference" and isinstance(part, str) else _renamed(part, names)
            for key, part in value.items()
        }
    return [_renamed(part, names) for part in value] if isinstance(value, list) else value
