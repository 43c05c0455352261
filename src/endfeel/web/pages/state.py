"""For whoever runs the program: does it live, is it ready. Asked often, by machines; nothing about anybody."""

from __future__ import annotations

from fastapi import APIRouter
from fastapi.responses import JSONResponse

from endfeel.care import custody
from endfeel.web.pages.desk import AtDesk

router = APIRouter(include_in_schema=False)


@router.get("/health")
async def get_health() -> dict[str, str]:
    """The program answers. The records are not asked, so that a database that is away restarts nothing."""
    return {"status": "alive"}


@router.get("/ready")
def get_ready(desk: AtDesk) -> JSONResponse:
    """200 when the records answer at the schema of this program, 503 with what is missing otherwise."""
    found = custody.readiness(desk.engine)
    told = {"status": "ready" if found.is_ready else "not ready", "database": found.database, "schema": found.schema}
    return JSONResponse({**told, "evidence": desk.library.release}, 200 if found.is_ready else 503)
