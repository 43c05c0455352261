"""What pages ask for: the desk, and the fields of a form."""

from __future__ import annotations

from typing import Annotated

from fastapi import Depends, Request
from starlette.datastructures import UploadFile

from endfeel.care import Desk
from endfeel.instruments.table_text import decoded


async def _desk(request: Request) -> Desk:
    """In a clinic the desk of who is signed in (`way_in.py`), else the one there is."""
    desk: Desk = getattr(request.state, "desk", None) or request.app.state.desk
    return desk


async def _fields(request: Request) -> dict[str, str]:
    return {name: value for name, value in (await request.form()).items() if isinstance(value, str)}


async def _fields_or_file(request: Request) -> dict[str, str]:
    async with request.form() as form:
        given = {name: value for name, value in form.items() if isinstance(value, str)}
        file = form.get("file")
        if isinstance(file, UploadFile) and file.filename:
            given |= {"text": decoded(await file.read()), "file": file.filename}
    return given


AtDesk = Annotated[Desk, Depends(_desk)]
Fields = Annotated[dict[str, str], Depends(_fields)]
"""A form's fields by name, all of them, as they were written."""
FieldsOrFile = Annotated[dict[str, str], Depends(_fields_or_file)]
"""The same, but a chosen file stands for the pasted `text`; `file` is then its name."""
