"""Voice: what can be said, the one-minute microphone check, and the socket that a browser speaks into.

Sound comes in blocks, is kept in memory until the phrase is over, and is then forgotten: it is never written anywhere.
"""

from __future__ import annotations

import asyncio
import json
from dataclasses import asdict, dataclass, field
from threading import Lock
from typing import Any
from urllib.parse import urlsplit

from fastapi import APIRouter, FastAPI, Request, Response, WebSocket, WebSocketDisconnect

from endfeel.assessment import shorthand_of
from endfeel.care import Desk
from endfeel.vocabulary import LEVELS, RIBS, Side
from endfeel.voice import Place, Reply, Talk, after_command, after_side, after_speech
from endfeel.voice.ear import HOW_TO_GET, Ear, can_hear
from endfeel.voice.load import load_spoken
from endfeel.voice.sound import RATE, samples_of
from endfeel.voice.trial import PROMPTS
from endfeel.web.pages.desk import AtDesk
from endfeel.web.rendering import page
from endfeel.web.way_in import may_speak

router = APIRouter(include_in_schema=False)
LONGEST_SECONDS = 15
_MOST_BYTES = LONGEST_SECONDS * RATE * 2
_NOT_OURS = 1008


@router.get("/voice")
def get_voice(request: Request, desk: AtDesk) -> Response:
    """What can be said, and the microphone check."""
    spoken = load_spoken()
    by_region: dict[str, list[tuple[str, str]]] = {}
    for procedure in desk.library.catalogue:
        by_region.setdefault(procedure.region, []).append((spoken.procedure[procedure.id], procedure.name))
    values = {
        "by_region": by_region,
        "spoken": spoken,
        "prompts": PROMPTS,
        "can_hear": can_hear(),
        "how_to_get": HOW_TO_GET,
    }
    return page(request, "voice.html", values)


@dataclass(slots=True)
class _Session:
    """One page that speaks: the draft that waits, the sound of the phrase being said, where the page stands."""

    desk: Desk
    ear: Ear
    talk: Talk = field(default_factory=Talk)
    place: Place = field(default_factory=Place)
    sound: bytearray = field(default_factory=bytearray)
    expected: str = ""
    """The prompted phrase, during a microphone check."""


@router.websocket("/voice/listen")
async def listen(socket: WebSocket) -> None:
    """Speak and be answered: text frames say what to do, binary frames are sixteen-bit sound at 16 kHz."""
    if not _is_own(socket) or not await asyncio.to_thread(may_speak, socket) or not can_hear():
        await socket.close(_NOT_OURS)
        return
    await socket.accept()
    session = _Session(socket.app.state.desk, await asyncio.to_thread(_ear_of, socket.app))
    await socket.send_json({"kind": "ready", "better": session.ear.is_better})
    try:
        while True:
            message = await socket.receive()
            if message["type"] == "websocket.disconnect":
                return
            if message.get("bytes"):
                session.sound += message["bytes"][: max(0, _MOST_BYTES - len(session.sound))]
            elif message.get("text"):
                answer = await asyncio.to_thread(_answer, session, message["text"])
                if answer is not None:
                    await socket.send_json(answer)
    except WebSocketDisconnect:
        return
    finally:
        session.sound.clear()


def _answer(session: _Session, text: str) -> dict[str, Any] | None:
    """What a text frame asks for; None where there is nothing to say."""
    try:
        read = json.loads(text)
    except (ValueError, RecursionError):
        return None
    asked = {name: one for name, one in read.items() if isinstance(one, str)} if isinstance(read, dict) else {}
    do = asked.get("do", "")
    shorthand = shorthand_of(session.desk.library)
    if do == "begin":
        session.sound.clear()
        session.place = _place(session.desk, asked)
        session.expected = asked.get("prompt", "")
        return None
    if do == "end":
        return _heard(session)
    if do == "side" and asked.get("side") in set(Side):
        session.talk, reply = after_side(session.talk, Side(asked["side"]), shorthand)
        return _told(reply)
    if do in ("confirm", "again", "other_side", "read_back"):
        session.talk, reply = after_command(session.talk, do, shorthand)
        return _told(reply)
    return None


def _heard(session: _Session) -> dict[str, Any]:
    samples = samples_of(bytes(session.sound))
    session.sound.clear()
    if session.expected:
        sensed = session.ear.hear(samples)
        words = " ".join(sensed.words or ())
        return {"kind": "checked", "words": words, "right": words == session.expected, "refused": not words}
    sensed = session.ear.hear(samples, session.place.front)
    shorthand = shorthand_of(session.desk.library)
    session.talk, reply = after_speech(session.talk, sensed.meaning, session.place, shorthand)
    return {**_told(reply), "words": " ".join(sensed.words or ())}


def _told(reply: Reply) -> dict[str, Any]:
    return asdict(reply)


def _place(desk: Desk, asked: dict[str, Any]) -> Place:
    side, front, level = (str(asked.get(name) or "") for name in ("side", "front", "level"))
    return Place(
        Side(side) if side in set(Side) else None,
        desk.library.catalogue.by_id.get(front),
        level if level in (*LEVELS, *RIBS) else "",
    )


_MAKING = Lock()


def _ear_of(app: FastAPI) -> Ear:
    """The one ear of these pages, made when somebody first speaks."""
    with _MAKING:
        if getattr(app.state, "ear", None) is None:
            app.state.ear = Ear(shorthand_of(app.state.desk.library))
            app.state.ear.warm()
    ear: Ear = app.state.ear
    return ear


def _is_own(socket: WebSocket) -> bool:
    """Only our own pages, under our own names."""
    host = socket.headers.get("host", "").lower()
    origin = socket.headers.get("origin")
    return (urlsplit(f"//{host}").hostname or "") in {name.strip("[]") for name in socket.app.state.hosts} and (
        origin is None or urlsplit(origin).netloc.lower() == host
    )
