"""The addresses of the pages, as the program itself knows them."""

from __future__ import annotations

from typing import Any

from fastapi.routing import APIRoute


def page_routes(app: Any) -> list[APIRoute]:
    """Every route of the application and of the routers it includes."""
    found = [inside for one in app.routes for inside in getattr(getattr(one, "original_router", None), "routes", [one])]
    return [one for one in found if isinstance(one, APIRoute)]
