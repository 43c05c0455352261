"""Signing in: password, second factor, passkey, recovery code, how long it lasts, lock-out; all of it in the audit."""

from __future__ import annotations

import hashlib
import json
import secrets
import unicodedata
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from functools import cache
from typing import Any
from weakref import WeakSet

import pyotp
import webauthn
from argon2 import PasswordHasher
from argon2.exceptions import Argon2Error, InvalidHashError
from sqlalchemy import Engine, select
from sqlalchemy.orm import Session
from webauthn.helpers import base64url_to_bytes, bytes_to_base64url
from webauthn.helpers.exceptions import WebAuthnException
from webauthn.helpers.structs import UserVerificationRequirement

from endfeel.care.allowed import Staff
from endfeel.care.desk import Desk
from endfeel.records import staff as kept
from endfeel.records.audit import audit
from endfeel.records.staff_tables import PasskeyRow, SignInRow, StaffRow
from endfeel.records.store import glancing, reading, transaction
from endfeel.vocabulary import Refused

IDLE = timedelta(minutes=30)
LONGEST = timedelta(hours=12)
HALFWAY = timedelta(minutes=10)
"""Signed in without a touch; at all; between password and second factor. As custom has it, no source."""
TRIES = 5
"""Failures before the first pause; each further one doubles it."""
FIRST_PAUSE, LONGEST_PAUSE = timedelta(seconds=30), timedelta(hours=1)
NOT_SO = "that is not right: name, password or code; after several failures each further one waits longer"
_NOBODY = "nobody signed in"
_SEEN_EVERY = timedelta(seconds=60)
_clinics: WeakSet[Engine] = WeakSet()


@dataclass(frozen=True, slots=True)
class SignedIn:
    """One browser that is signed in, or halfway there."""

    id: str
    staff: Staff
    second: bool
    """Whether the second factor was given."""
    codes_left: int = 0

    @property
    def is_whole(self) -> bool:
        """Whether every page of theirs is open to them."""
        return self.second and self.staff.has_second and not self.staff.must_choose


@dataclass(frozen=True, slots=True)
class Place:
    """Where the pages are, as a passkey knows them."""

    host: str
    origin: str


# ---- passwords -----------------------------------------------------------------------------------------------------

_HASHER = PasswordHasher()


def hashed(password: str) -> str:
    """A password as it is kept: Argon2id with a salt of its own, by the library's figures (RFC 9106, little memory)."""
    return _HASHER.hash(_plain(password))


def is_password(kept_hash: str, password: str) -> bool:
    """Whether it is the one. Takes about the same time whether or not anybody of that name works here."""
    try:
        return _HASHER.verify(kept_hash or _nobodys(), _plain(password)) and bool(kept_hash)
    except (Argon2Error, InvalidHashError):
        return False


@cache
def _nobodys() -> str:
    return _HASHER.hash(secrets.token_hex())


def _plain(password: str) -> str:
    """The same letters however a keyboard writes them; what is longer than a page is cut."""
    return unicodedata.normalize("NFKC", password)[:1000].encode("utf-8", "replace").decode()


# ---- the way in ----------------------------------------------------------------------------------------------------


def clinic_is_on(desk: Desk) -> bool:
    """Whether anybody has a sign-in here: then nothing is shown without one. Once it is so it stays so: whoever leaves
    is kept, and it is not asked again."""
    if desk.engine not in _clinics:
        with reading(desk.engine) as session:
            if not kept.anybody(session):
                return False
        _clinics.add(desk.engine)
    return True


def sign_in(desk: Desk, name: str, password: str, browser: str = "") -> str:
    """The token of a browser that is halfway in. Raises Refused, always in the same words."""
    with reading(desk.engine) as session:
        row = kept.by_name(session, name.strip())
        known = "" if row is None or row.left_at else row.password
        staff_id = row.id if row is not None and known else ""
    right = is_password(known, password)
    return _settle(desk, staff_id, right, "password", browser, second=False)


def give_code(desk: Desk, token: str, code: str, browser: str = "") -> str:
    """The token of a browser that is in, for a code of the generator or one from paper. Raises Refused."""
    found = session_of(desk, token)
    if found is None or not found.staff.has_second:
        raise Refused("that took too long; begin again with name and password")
    told = "".join(code.split()).replace("-", "").upper()
    return _settle(desk, found.staff.id, True, "second factor", browser, second=True, code=told, old=token)


def _settle(
    desk: Desk, staff_id: str, right: bool, how: str, browser: str, *, second: bool, code: str | None = None,
    old: str = "",
) -> str:  # fmt: skip
    """Count the failure, or sign in; both in one transaction, so that many tries at once do not get by."""
    now, token = desk.clock(), ""
    with transaction(desk.engine) as session:
        row = kept.staff_row(session, staff_id) if staff_id else None
        if row is None:
            audit(session, now, _NOBODY, "sign-in failed", None, detail="a name that is not known here", why=how)
        elif row.locked_until and row.locked_until > now:
            audit(session, now, row.name, "sign-in failed", None, detail=f"locked {_until(row)}", why=how)
        elif right and (code is None or _takes(session, row, code, now)):
            if second or not _has_second(session, row):
                row.failures, row.locked_until = 0, None
            token = _begin(session, row, now, browser, second=second, old=old)
            audit(session, now, row.name, "signed in" if second else "password given", None, why=how)
        else:
            _count_failure(session, row, now, how)
    if not token:
        raise Refused(NOT_SO)
    return token


def _count_failure(session: Session, row: StaffRow, now: datetime, how: str) -> None:
    row.failures += 1
    told = f"failure {row.failures}"
    if row.failures >= TRIES:
        row.locked_until = now + min(LONGEST_PAUSE, FIRST_PAUSE * 2 ** min(row.failures - TRIES, 20))
        told += f", locked {_until(row)}"
    audit(session, now, row.name, "sign-in failed", None, detail=told, why=how)


def _until(row: StaffRow) -> str:
    return f"until {row.locked_until:%Y-%m-%d %H:%M:%S} UTC"


def _has_second(session: Session, row: StaffRow) -> bool:
    return bool(row.totp or kept.passkeys_of(session, row.id))


def _takes(session: Session, row: StaffRow, code: str, now: datetime) -> bool:
    """Whether a code is one: of the generator, not used before; or one from paper, which is used up by it."""
    step = step_of(row.totp, code, now) if row.totp else None
    if step is not None and step > (row.totp_step or 0):
        row.totp_step = step
        return True
    for one in kept.codes_left(session, row.id):
        if secrets.compare_digest(one.hash, fingerprint(code)):
            one.used_at = now
            left = len(kept.codes_left(session, row.id))
            audit(session, now, row.name, "recovery code used", None, detail=f"{left} left", why="second factor")
            return True
    return False


def step_of(secret: str, code: str, now: datetime) -> int | None:
    """The step of time a code belongs to, one before and one after counted (RFC 6238); None when it is no code."""
    generator = pyotp.TOTP(secret)
    here = int(now.timestamp()) // generator.interval
    steps = (here - 1, here, here + 1)
    return next((s for s in steps if secrets.compare_digest(generator.generate_otp(s), code)), None)


def fingerprint(secret: str) -> str:
    """How a token or a code from paper is kept: both hold more chance than anybody can try."""
    return hashlib.sha256(secret.encode()).hexdigest()


def _begin(session: Session, row: StaffRow | None, now: datetime, browser: str, *, second: bool, old: str = "",
           challenge: str | None = None) -> str:  # fmt: skip
    """A new token at each step in; the one before stops working."""
    token = secrets.token_urlsafe(32)
    if old and (before := session.get(SignInRow, fingerprint(old))):
        session.delete(before)
    kept.forget_sign_ins(session, now - HALFWAY, now - LONGEST)
    session.add(
        SignInRow(
            id=fingerprint(token), staff_id=row.id if row else None, second=second, challenge=challenge,
            browser=browser[:200], began_at=now, seen_at=now,
        )
    )  # fmt: skip
    return token


# ---- who is in -----------------------------------------------------------------------------------------------------


def session_of(desk: Desk, token: str, *, touch: bool = False) -> SignedIn | None:
    """Who a browser's token stands for; None when it is over. A `touch` keeps it from being over for a while."""
    if not token:
        return None
    now = desk.clock()
    with glancing(desk.engine) as connection:
        here = kept.signed_in(connection, fingerprint(token))
    if here is None:
        return None
    found = SignedIn(here.sign_in, _staff(here, here.passkeys, has_code=here.has_code), here.second)
    seen = here.seen_at
    if found.staff.left or _is_over(now, seen, here.began_at, found):
        _end(desk, found, "the time was over")
        return None
    if touch and abs(now - seen) > _SEEN_EVERY:
        with transaction(desk.engine) as session:
            still = session.get(SignInRow, found.id)
            if still is not None:
                still.seen_at = now
    return found


def _is_over(now: datetime, seen: datetime, began: datetime, found: SignedIn) -> bool:
    if not found.second and found.staff.has_second:
        return now - began > HALFWAY
    return now - seen > IDLE or now - began > LONGEST


def sign_out(desk: Desk, token: str) -> None:
    """This browser is out; twice is once."""
    found = session_of(desk, token)
    if found is not None:
        _end(desk, found, "signed out")


def _end(desk: Desk, found: SignedIn, why: str) -> None:
    with transaction(desk.engine) as session:
        row = session.get(SignInRow, found.id)
        if row is not None:
            session.delete(row)
            audit(session, desk.clock(), found.staff.name, "signed out", None, why=why)


def desk_of(desk: Desk, staff: Staff) -> Desk:
    """The desk as somebody sits at it: in their name, with their rights."""
    return replace(desk, who=staff.name, staff=staff, signs_as=staff.name)


def staff_from(session: Session, row: StaffRow) -> Staff:
    """A row as the value."""
    return _staff(row, len(kept.passkeys_of(session, row.id)), has_code=row.totp is not None)


def _staff(row: Any, passkeys: int, *, has_code: bool) -> Staff:
    return Staff(
        row.id, row.name, row.role, row.supervisor, row.must_choose, has_code, passkeys,
        row.locked_until, row.left_at is not None,
    )  # fmt: skip


# ---- passkeys ------------------------------------------------------------------------------------------------------


def ask_passkey(desk: Desk, place: Place, browser: str = "") -> tuple[str, str]:
    """The token of a browser that is asked for a passkey, and what it is asked, as JSON."""
    asked = webauthn.generate_authentication_options(
        rp_id=place.host, user_verification=UserVerificationRequirement.REQUIRED
    )
    with transaction(desk.engine) as session:
        challenge = bytes_to_base64url(asked.challenge)
        token = _begin(session, None, desk.clock(), browser, second=False, challenge=challenge)
    return token, webauthn.options_to_json(asked)


def answer_passkey(desk: Desk, token: str, place: Place, answer: str, browser: str = "") -> str:
    """The token of a browser that is in: the device asked for finger, face or PIN, so a passkey is two factors.

    Raises Refused.
    """
    now, made = desk.clock(), ""
    with transaction(desk.engine) as session:
        before = session.get(SignInRow, fingerprint(token)) if token else None
        challenge = before.challenge if before and before.staff_id is None and now - before.began_at < HALFWAY else None
        passkey = _passkey_named(session, answer)
        row = kept.staff_row(session, passkey.staff_id) if passkey else None
        if before is not None:
            session.delete(before)  # one challenge, one answer
        uses = _verified(passkey, challenge, place, answer) if passkey and challenge else None
        if row is not None and passkey is not None and uses is not None and row.left_at is None:
            passkey.uses, row.failures, row.locked_until = uses, 0, None
            made = _begin(session, row, now, browser, second=True)
            audit(session, now, row.name, "signed in", None, detail=passkey.name, why="passkey")
        else:
            audit(session, now, row.name if row else _NOBODY, "sign-in failed", None, why="passkey")
    if not made:
        raise Refused("that passkey was not taken; try again, or sign in with name and password")
    return made


def _passkey_named(session: Session, answer: str) -> PasskeyRow | None:
    try:
        named = str(json.loads(answer)["id"])
    except (ValueError, KeyError, TypeError):
        return None
    return session.scalar(select(PasskeyRow).where(PasskeyRow.id == named[:2000]))


def _verified(passkey: PasskeyRow, challenge: str, place: Place, answer: str) -> int | None:
    """The device's count when it holds the private half, else None."""
    try:
        return webauthn.verify_authentication_response(
            credential=answer,
            expected_challenge=base64url_to_bytes(challenge),
            expected_rp_id=place.host,
            expected_origin=place.origin,
            credential_public_key=base64url_to_bytes(passkey.public_key),
            credential_current_sign_count=passkey.uses,
            require_user_verification=True,
        ).new_sign_count
    except (WebAuthnException, ValueError, KeyError, TypeError):
        return None
