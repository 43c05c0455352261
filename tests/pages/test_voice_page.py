"""The voice socket and its page: a draft waits, the side is asked about, sound is stored nowhere."""

from __future__ import annotations

import ast
import re
import tempfile
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from starlette.testclient import TestClient
from starlette.websockets import WebSocketDisconnect

from endfeel import care
from endfeel.vocabulary import Procedure
from endfeel.voice.ear import HOW_TO_GET, Sensed
from endfeel.voice.network import Meaning
from endfeel.voice.sound import Samples
from endfeel.voice.trial import PROMPTS
from endfeel.web.pages import voice

SOURCE = Path(voice.__file__).parents[2]
TOUCHES_SOUND = ("web/pages/voice.py", "voice/ear.py", "voice/small.py", "voice/large.py", "voice/sound.py")
GRIP: Meaning = (("procedure", "grip"), ("pain", "4"))
LINE = "grip right pain 4"
LISTEN = "ws://127.0.0.1:8710/voice/listen"
SOUND = np.random.default_rng(3).integers(-20_000, 20_000, 16_000).astype("<i2").tobytes()


class StubEar:
    """Hears what the test says next; keeps how much sound it was given."""

    is_better = False

    def __init__(self) -> None:
        self.next: list[Meaning | None] = []
        self.lengths: list[int] = []
        self.fronts: list[str] = []

    def hear(self, samples: Samples, front: Procedure | None = None) -> Sensed:
        self.lengths.append(len(samples))
        self.fronts.append(front.id if front else "")
        meaning = self.next.pop(0)
        return Sensed(tuple(value for _, value in meaning), meaning) if meaning else Sensed()


@pytest.fixture
def ear(client: TestClient, monkeypatch: pytest.MonkeyPatch) -> StubEar:
    stub = StubEar()
    client.app.state.ear = stub  # type: ignore[attr-defined]
    monkeypatch.setattr(voice, "can_hear", lambda: True)
    return stub


def say(socket: Any, side: str = "right", **more: str) -> dict[str, Any]:
    """Push, speak, let go; what came back."""
    socket.send_json({"do": "begin", "side": side, **more})
    for start in range(0, len(SOUND), 3200):
        socket.send_bytes(SOUND[start : start + 3200])
    socket.send_json({"do": "end"})
    answer: dict[str, Any] = socket.receive_json()
    return answer


def test_a_draft_waits_and_only_a_yes_sends_it_off(client: TestClient, ear: StubEar) -> None:
    ear.next = [GRIP, None, (("procedure", "grip"), ("pain", "9")), (("command", "confirm"),)]
    with client.websocket_connect(LISTEN) as socket:
        assert socket.receive_json() == {"kind": "ready", "better": False}
        draft = say(socket)
        assert (draft["kind"], draft["line"]) == ("draft", LINE)
        assert say(socket)["kind"] == "rejected"
        assert say(socket)["line"] == LINE
        assert (kept := say(socket))["kind"] == "keep"
        assert kept["line"] == LINE
    assert ear.lengths == [16_000] * 4


def test_another_side_is_asked_and_answered_by_hand(client: TestClient, ear: StubEar) -> None:
    ear.next = [(("side", "left"), *GRIP), (("command", "confirm"),)]
    with client.websocket_connect(LISTEN) as socket:
        socket.receive_json()
        assert say(socket)["kind"] == "asked"
        assert say(socket)["kind"] == "asked"
        socket.send_json({"do": "side", "side": "left"})
        assert socket.receive_json()["line"] == "grip left pain 4"
        socket.send_json({"do": "confirm"})
        assert socket.receive_json()["kind"] == "keep"


def test_the_test_in_front_and_its_level_come_from_the_page(client: TestClient, ear: StubEar) -> None:
    ear.next = [(("mobility", "2"),), (("mobility", "2"),)]
    with client.websocket_connect(LISTEN) as socket:
        socket.receive_json()
        assert say(socket, front="th_pa_central", level="T5")["line"] == "th_pa_central T5 mobility 2"
        socket.send_json({"do": "again"})
        assert socket.receive_json()["kind"] == "told"
        assert say(socket, front="<script>", level="T99")["kind"] == "rejected"
    assert ear.fronts == ["th_pa_central", ""]


def test_the_microphone_check_compares_and_keeps_nothing(client: TestClient, ear: StubEar) -> None:
    ear.next = [(("said", PROMPTS[0]),), None, (("said", "another phrase"),)]
    with client.websocket_connect(LISTEN) as socket:
        socket.receive_json()
        told = [say(socket, prompt=PROMPTS[0]) for _ in range(3)]
        assert [(one["right"], one["refused"]) for one in told] == [(True, False), (False, True), (False, False)]
        socket.send_json({"do": "confirm"})
        assert "no draft" in socket.receive_json()["said"]


def test_a_phrase_without_end_is_cut(client: TestClient, ear: StubEar) -> None:
    ear.next = [None]
    with client.websocket_connect(LISTEN) as socket:
        socket.receive_json()
        socket.send_json({"do": "begin"})
        for _ in range(4):
            socket.send_bytes(bytes(160_000))
        socket.send_text("no object")
        socket.send_json({"do": "end"})
        assert socket.receive_json()["kind"] == "rejected"
    assert ear.lengths == [voice.LONGEST_SECONDS * 16_000]


def test_sound_is_stored_nowhere(client: TestClient, desk: care.Desk, ear: StubEar, tmp_path: Path) -> None:
    """Neither beside the store nor in the folder for temporary files does a piece of it turn up."""
    marks = [SOUND[start : start + 64] for start in range(0, len(SOUND), 4000)]
    before = set(Path(tempfile.gettempdir()).iterdir())
    ear.next = [GRIP, (("command", "confirm"),)]
    with client.websocket_connect(LISTEN) as socket:
        socket.receive_json()
        assert say(socket)["kind"] == "draft"
        assert say(socket)["kind"] == "keep"
    fresh = [path for path in Path(tempfile.gettempdir()).iterdir() if path not in before and path.is_file()]
    files = [*(path for path in tmp_path.rglob("*") if path.is_file()), *fresh]
    assert files, "the store itself is there to be looked into"
    assert not [path for path in files for mark in marks if mark in path.read_bytes()]


@pytest.mark.parametrize("name", TOUCHES_SOUND)
def test_what_touches_sound_writes_no_file(name: str) -> None:
    banned = {"open", "write", "write_bytes", "write_text", "tofile", "save", "savez", "dump", "NamedTemporaryFile"}
    tree = ast.parse((SOURCE / name).read_text(encoding="utf-8"))
    called = {
        node.func.id if isinstance(node.func, ast.Name) else node.func.attr
        for node in ast.walk(tree)
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name | ast.Attribute)
    }
    allowed = {"write"} if name == "voice/large.py" else set()  # there it writes down words
    assert not (called & banned) - allowed


def test_only_our_own_pages_may_speak(client: TestClient, ear: StubEar) -> None:
    for headers in ({"origin": "http://elsewhere.example"}, {"host": "elsewhere.example"}):
        with pytest.raises(WebSocketDisconnect), client.websocket_connect(LISTEN, headers=headers):
            pass
    with client.websocket_connect(LISTEN, headers={"origin": "http://127.0.0.1:8710"}) as socket:
        assert socket.receive_json()["kind"] == "ready"


def test_without_the_extra_one_quiet_line_says_how_to_get_it(
    client: TestClient, visit_id: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("endfeel.web.visit_values.can_hear", lambda: False)
    monkeypatch.setattr(voice, "can_hear", lambda: False)
    page = client.get(f"/visits/{visit_id}").text
    assert page.count(HOW_TO_GET) == 1
    assert "voice.js" not in page
    assert HOW_TO_GET in client.get("/voice").text
    with pytest.raises(WebSocketDisconnect), client.websocket_connect(LISTEN):
        pass


def test_the_page_shows_every_test_as_it_is_said(client: TestClient, desk: care.Desk, ear: StubEar) -> None:
    page = client.get("/voice").text
    assert page.count("<dt>") >= len(desk.library.catalogue)
    assert "glenohumeral posterior glide resting" in page
    assert "yes confirm" in page
    assert all(prompt in page for prompt in PROMPTS)


def test_the_page_of_what_can_be_said_tells_nothing_as_having_happened(client: TestClient) -> None:
    html = client.get("/voice").text
    assert '<div id="said" role="status" aria-live="polite"></div>' in html
    assert "Tests, as they are said" in html
    assert "&#39;active_motion&#39;" not in html


def test_no_key_of_speaking_is_a_key_of_the_pedal() -> None:
    static = SOURCE / "web" / "static"
    pedal = re.findall(r"(?:FORWARD|BACK) = \[(.*?)\]", (static / "pedal.js").read_text(encoding="utf-8"))
    of_pedal = set(re.findall(r'"(\w+)"', " ".join(pedal)))
    voice = "".join((static / "voice" / name).read_text(encoding="utf-8") for name in ("voice.js", "microphone.js"))
    of_voice = set(re.findall(r'event\.key(?:\.toLowerCase\(\))? [!=]== "([^"]+)"', voice))
    assert of_pedal == {"PageDown", "ArrowRight", "ArrowDown", "PageUp", "ArrowLeft", "ArrowUp"}
    assert of_voice == {"v", ".", "Enter", "Escape"}
    assert not of_pedal & of_voice
