"""Pairing a phone with one visit: a token good once and briefly, then a key that may do nothing but send angles.

All of it is kept in memory alone and ends with the program. One visit has one phone at a time.
"""

from __future__ import annotations

import hmac
import secrets
import threading
import time
from collections import deque
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from enum import StrEnum

from endfeel.instruments import Hold, LimbAngle, Turn, angle_since, held, up_in_phone
from endfeel.instruments.phone_angle import Vector
from endfeel.vocabulary import CannotRead, Fault, Refused

TOKEN_SECONDS = 180.0
"""How long a code may be scanned."""
IDLE_SECONDS = 600.0
"""A phone that has sent nothing for so long must be paired again."""
SILENT_SECONDS = 2.0
"""A phone that has sent nothing for so long is shown as silent."""
MOST_SAMPLES = 60
"""Readings taken in one message."""
KEPT_SAMPLES = 200
NOT_PAIRED = "this phone is not paired with a visit, or no longer"
Clock = Callable[[], float]


class Stage(StrEnum):
    """How far a pairing is."""

    NONE = "none"
    WAITING = "waiting"
    """The code is shown and was not used yet."""
    SILENT = "silent"
    """Paired, but nothing arrives."""
    READING = "reading"


@dataclass(frozen=True, slots=True)
class Tilt:
    """One reading of a phone: its own clock in seconds, and the two tilts in degrees."""

    at: float
    beta: float
    gamma: float


@dataclass(frozen=True, slots=True)
class Live:
    """What a phone says now."""

    stage: Stage
    seconds_left: float = 0.0
    """Until an unused code lapses."""
    zeroed: bool = False
    turn: Turn = Turn.ANY
    angle: LimbAngle | None = None
    hold: Hold | None = None
    at_zero: bool = False
    """The hold is that of zero itself."""


@dataclass(frozen=True, slots=True)
class HoldRule:
    """How long and how steady an angle must be to count as held, and how upright the turning axis may stand."""

    seconds: float
    band_deg: float
    most_lean_deg: float


@dataclass(slots=True)
class _Pair:
    visit_id: str
    token: str
    opened: float
    key: str = ""
    heard: float = 0.0
    zero: Vector | None = None
    turn: Turn = Turn.ANY
    tilts: deque[Tilt] = field(default_factory=lambda: deque(maxlen=KEPT_SAMPLES))


class Pairings:
    """The phones of this program, by visit. Safe to use from several threads."""

    def __init__(self, rule: HoldRule, clock: Clock = time.monotonic) -> None:
        self._rule, self._clock = rule, clock
        self._lock = threading.Lock()
        self._by_visit: dict[str, _Pair] = {}

    def open(self, visit_id: str) -> str:
        """Begin anew for this visit; what was paired with it before is cut off. Returns the token for the code."""
        with self._lock:
            pair = self._by_visit[visit_id] = _Pair(visit_id, secrets.token_urlsafe(16), self._clock())
            return pair.token

    def waiting_token(self, visit_id: str) -> str:
        """The token of the code that waits to be scanned; empty when there is none."""
        with self._lock:
            pair = self._by_visit.get(visit_id)
            return pair.token if pair and self._stage(pair) is Stage.WAITING else ""

    def close(self, visit_id: str) -> None:
        """End the pairing of a visit."""
        with self._lock:
            self._by_visit.pop(visit_id, None)

    def claim(self, token: str) -> str:
        """Trade a token, once, for the key of a phone. Raises Refused for a token that is unknown, used or too old."""
        with self._lock:
            for pair in self._by_visit.values():
                if self._stage(pair) is Stage.WAITING and hmac.compare_digest(pair.token.encode(), token.encode()):
                    pair.key, pair.token, pair.heard = secrets.token_urlsafe(24), "", self._clock()
                    return pair.key
        raise Refused("this code was used already or is too old; show a new one beside the visit and scan that")

    def push(self, key: str, tilts: Iterable[Tilt]) -> Live:
        """Take readings from a phone. Raises Refused for an unknown key, CannotRead for readings that cannot be."""
        given = tuple(tilts)
        if len(given) > MOST_SAMPLES:
            raise CannotRead([Fault("too many readings in one message", str(len(given)), f"at most {MOST_SAMPLES}")])
        for one in given:
            try:
                up_in_phone(one.beta, one.gamma)
            except ValueError as error:
                raise CannotRead([Fault(str(error), f"{one.beta}, {one.gamma}", "two tilts in degrees")]) from error
        with self._lock:
            pair = self._of_key(key)
            pair.heard = self._clock()
            for one in given:
                if not pair.tilts or one.at > pair.tilts[-1].at:
                    pair.tilts.append(one)
            return self._live(pair)

    def zero_by_phone(self, key: str) -> Live:
        """The limb is at zero now, says the phone."""
        with self._lock:
            return self._zeroed(self._of_key(key))

    def zero(self, visit_id: str) -> Live:
        """The limb is at zero now, says the visit. Raises Refused when no phone sends."""
        with self._lock:
            return self._zeroed(self._of_visit(visit_id))

    def turn(self, visit_id: str, turn: Turn) -> Live:
        """What the limb turns about."""
        with self._lock:
            pair = self._of_visit(visit_id)
            pair.turn = turn
            return self._live(pair)

    def live(self, visit_id: str) -> Live:
        """What the phone of this visit says now."""
        with self._lock:
            pair = self._by_visit.get(visit_id)
            return self._live(pair) if pair else Live(Stage.NONE)

    # ---- inside the lock ------------------------------------------------------------------------------------------

    def _stage(self, pair: _Pair) -> Stage:
        now = self._clock()
        if pair.token:
            return Stage.WAITING if now - pair.opened < TOKEN_SECONDS else Stage.NONE
        silent = now - pair.heard
        if silent >= IDLE_SECONDS:
            return Stage.NONE
        return Stage.READING if pair.tilts and silent < SILENT_SECONDS else Stage.SILENT

    def _of_key(self, key: str) -> _Pair:
        for pair in self._by_visit.values():
            if pair.key and hmac.compare_digest(pair.key.encode(), key.encode()):
                if self._stage(pair) is Stage.NONE:
                    break
                return pair
        raise Refused(NOT_PAIRED)

    def _of_visit(self, visit_id: str) -> _Pair:
        pair = self._by_visit.get(visit_id)
        if pair is None or self._stage(pair) not in (Stage.SILENT, Stage.READING):
            raise Refused("no phone is paired with this visit")
        return pair

    def _zeroed(self, pair: _Pair) -> Live:
        if self._stage(pair) is not Stage.READING:
            raise Refused("the phone sends nothing yet")
        last = pair.tilts[-1]
        pair.zero = up_in_phone(last.beta, last.gamma)
        pair.tilts.clear()
        pair.tilts.append(last)
        return self._live(pair)

    def _live(self, pair: _Pair) -> Live:
        stage = self._stage(pair)
        if stage is Stage.WAITING:
            return Live(stage, TOKEN_SECONDS - (self._clock() - pair.opened))
        if stage is not Stage.READING or pair.zero is None:
            return Live(stage, zeroed=pair.zero is not None, turn=pair.turn)
        angles = [(one.at, self._angle(pair.zero, one, pair.turn)) for one in pair.tilts]
        now = angles[-1][1]
        told = [(at, angle.degrees) for at, angle in angles if angle.degrees is not None]
        band, found = self._rule.band_deg * now.noise_factor, None
        if now.degrees is not None:
            found = held(told, self._rule.seconds, band)
        at_zero = found is not None and abs(found.degrees) <= band
        return Live(stage, zeroed=True, turn=pair.turn, angle=now, hold=found, at_zero=at_zero)

    def _angle(self, zero: Vector, tilt: Tilt, turn: Turn) -> LimbAngle:
        return angle_since(zero, up_in_phone(tilt.beta, tilt.gamma), turn, most_lean_deg=self._rule.most_lean_deg)
