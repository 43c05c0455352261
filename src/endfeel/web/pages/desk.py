"""What pages ask for: the desk, and the fields of a form."""

from __future__ import annotations

from typing import Annotated

from fastapi import Depends, Request

from endfeel.care import Desk


def _desk(request: Request) -> Desk:
    desk: Desk = request.app.state.desk
    return desk


async def _fields(request: Request) -> dict[str, str]:
    return {name: value for name, value in (await request.form()).items() if isinstance(value, str)}


AtDesk = Annotated[Desk, Depends(_desk)]
Fields = Annotated[dict[str, str], Depends(_fields)]
"""A form's fields by name, all of them, as they were written."""
