"""Looking after one's own sign-in: password, code generator, passkeys, recovery codes, where one is signed in."""

from __future__ import annotations

import secrets
from dataclasses import dataclass
from datetime import datetime

import pyotp
import webauthn
from sqlalchemy.orm import Session
from webauthn.helpers import base64url_to_bytes, bytes_to_base64url
from webauthn.helpers.exceptions import WebAuthnException
from webauthn.helpers.structs import (
    AuthenticatorSelectionCriteria,
    PublicKeyCredentialDescriptor,
    ResidentKeyRequirement,
    UserVerificationRequirement,
)

from endfeel.care.allowed import Staff
from endfeel.care.checks import kept_words
from endfeel.care.desk import Desk
from endfeel.care.way_in import Place, SignedIn, fingerprint, hashed, is_password, step_of
from endfeel.records import queries
from endfeel.records import staff as kept
from endfeel.records.staff_tables import PasskeyRow, RecoveryCodeRow, SignInRow, StaffRow
from endfeel.records.store import reading
from endfeel.vocabulary import CannotRead, Fault, NotAllowed, Refused

SHORTEST = 12
"""Letters of a password; the same as of the store's passphrase."""
CODES = 10
_SIGNS = "ABCDEFGHJKLMNPQRSTUVWXYZ23456789"
"""Signs nobody takes for another one; ten of them are 50 bits."""


@dataclass(frozen=True, slots=True)
class OwnSignIn:
    """What the page of one's own sign-in shows."""

    staff: Staff
    passkeys: tuple[tuple[str, str, datetime], ...]
    """Id, name, since when."""
    codes_left: int
    places: tuple[tuple[str, str, datetime, datetime, bool], ...]
    """Where one is signed in: id, browser, since, last seen, whether it is this one."""


def view_own(desk: Desk, here: SignedIn) -> OwnSignIn:
    """Everything about one's own sign-in but its secrets."""
    with desk.transaction() as session:
        queries.audit(session, desk.clock(), desk.who, "view own sign-in", None, why="own sign-in")
        keys = tuple((one.id, one.name, one.added_at) for one in kept.passkeys_of(session, here.staff.id))
        left = len(kept.codes_left(session, here.staff.id))
        places = tuple(
            (one.id, one.browser, one.began_at, one.seen_at, one.id == here.id)
            for one in kept.sessions_of(session, here.staff.id)
        )
    return OwnSignIn(here.staff, keys, left, places)


def choose_password(desk: Desk, here: SignedIn, old: str, new: str, again: str) -> None:
    """Another password; every other browser is signed out. Raises CannotRead with what is wrong."""
    with reading(desk.engine) as session:
        known = kept.staff_of(session, here.staff.id).password
    faults = [] if is_password(known, old) else [Fault("that is not the password you have now", field="old")]
    faults += password_faults(new, here.staff.name)
    faults += [Fault("the two are not the same", field="again")] if new != again else []
    faults += [Fault("that is the one you have", field="new")] if not faults and new == old else []
    if faults:
        raise CannotRead(faults)
    told = hashed(new)
    with desk.transaction() as session:
        row = kept.staff_row(session, here.staff.id)
        row.password, row.must_choose = told, False
        out = kept.end_sessions(session, row.id, but=here.id)
        queries.audit(session, desk.clock(), desk.who, "choose password", None, detail=_out(out), why="own sign-in")


def password_faults(password: str, name: str) -> list[Fault]:
    """What speaks against a password: too short, of one sign, or the name itself."""
    plain = password.strip().lower()
    if len(password) < SHORTEST:
        would_do = f"at least {SHORTEST} letters; several words are easy to keep"
        return [Fault("too short", would_do=would_do, field="new")]
    if len(set(plain)) < 5 or plain.replace(" ", "") == name.lower().replace(" ", ""):
        return [Fault("too easy to guess", would_do="several words that do not belong together", field="new")]
    return []


def _out(places: int) -> str:
    return f"{places} other browsers signed out" if places else ""


# ---- second factor -------------------------------------------------------------------------------------------------


def begin_generator(desk: Desk, here: SignedIn) -> tuple[str, str]:
    """A secret for a code generator, and the address its QR code says. It counts from the first right code on."""
    with desk.transaction() as session:
        queries.audit(session, desk.clock(), desk.who, "view own sign-in", None, detail="code generator",
                      why="own sign-in")  # fmt: skip
        row = _place(session, here)
        if not (row.challenge or "").startswith(_GENERATOR):
            row.challenge = _GENERATOR + pyotp.random_base32()
        secret = row.challenge.removeprefix(_GENERATOR) if row.challenge else ""
    return secret, pyotp.TOTP(secret).provisioning_uri(name=here.staff.name, issuer_name="Endfeel")


_GENERATOR = "generator "


def _place(session: Session, here: SignedIn) -> SignInRow:
    row = session.get(SignInRow, here.id)
    if row is None:
        raise Refused("you have been signed out meanwhile")
    return row


def confirm_generator(desk: Desk, here: SignedIn, code: str) -> tuple[str, ...]:
    """From now on this generator counts. Recovery codes where there were none. Raises CannotRead for a wrong code."""
    now = desk.clock()
    with desk.transaction() as session:
        place = _place(session, here)
        secret = (place.challenge or "").removeprefix(_GENERATOR)
        step = step_of(secret, "".join(code.split()), now) if secret else None
        if step is None:
            raise CannotRead([Fault("that is not the code it shows now", would_do="the six figures", field="code")])
        row = kept.staff_row(session, here.staff.id)
        row.totp, row.totp_step = secret, step
        return _now_second(session, desk, here, row, "add code generator")


def _now_second(
    session: Session, desk: Desk, here: SignedIn, row: StaffRow, act: str, detail: str = ""
) -> tuple[str, ...]:
    """A second factor was set up in this browser: it is in, the others out; first codes for paper."""
    place = _place(session, here)
    place.challenge, place.second = None, True
    out = kept.end_sessions(session, row.id, but=here.id)
    told = "; ".join(part for part in (detail, _out(out)) if part)
    queries.audit(session, desk.clock(), desk.who, act, None, detail=told, why="own sign-in")
    return () if kept.codes_left(session, row.id) else _new_codes(session, row.id)


def new_codes(desk: Desk, here: SignedIn) -> tuple[str, ...]:
    """Ten recovery codes; those before stop working. They are shown once."""
    with desk.transaction() as session:
        queries.audit(session, desk.clock(), desk.who, "new recovery codes", None, why="own sign-in")
        kept.forget_codes(session, here.staff.id)
        return _new_codes(session, here.staff.id)


def _new_codes(session: Session, staff_id: str) -> tuple[str, ...]:
    codes = tuple("".join(secrets.choice(_SIGNS) for _ in range(10)) for _ in range(CODES))
    session.add_all(RecoveryCodeRow(staff_id=staff_id, hash=fingerprint(one)) for one in codes)
    return tuple(f"{one[:5]}-{one[5:]}" for one in codes)


def begin_passkey(desk: Desk, here: SignedIn, place: Place) -> str:
    """What a browser is asked to make a passkey of, as JSON."""
    with desk.transaction() as session:
        queries.audit(session, desk.clock(), desk.who, "view own sign-in", None, detail="passkey", why="own sign-in")
        known = [PublicKeyCredentialDescriptor(id=base64url_to_bytes(one.id))
                 for one in kept.passkeys_of(session, here.staff.id)]  # fmt: skip
        asked = webauthn.generate_registration_options(
            rp_id=place.host,
            rp_name="Endfeel",
            user_id=here.staff.id.encode(),
            user_name=here.staff.name,
            exclude_credentials=known,
            authenticator_selection=AuthenticatorSelectionCriteria(
                resident_key=ResidentKeyRequirement.REQUIRED, user_verification=UserVerificationRequirement.REQUIRED
            ),
        )
        _place(session, here).challenge = bytes_to_base64url(asked.challenge)
    return webauthn.options_to_json(asked)


def add_passkey(desk: Desk, here: SignedIn, place: Place, answer: str, name: str) -> tuple[str, ...]:
    """Keep the public half of a passkey. Recovery codes where there were none. Raises Refused."""
    name = " ".join(kept_words(name, "name", 80).split()) or "passkey"
    with desk.transaction() as session:
        challenge, _place(session, here).challenge = _place(session, here).challenge or "", None
        try:
            made = webauthn.verify_registration_response(
                credential=answer,
                expected_challenge=base64url_to_bytes(challenge),
                expected_rp_id=place.host,
                expected_origin=place.origin,
                require_user_verification=True,
            )
        except (WebAuthnException, ValueError, KeyError, TypeError) as error:
            raise Refused("that passkey was not taken; try again") from error
        key = bytes_to_base64url(made.credential_id)
        if session.get(PasskeyRow, key) is not None:
            raise Refused("that passkey is kept already")
        session.add(
            PasskeyRow(
                id=key, staff_id=here.staff.id, public_key=bytes_to_base64url(made.credential_public_key),
                uses=made.sign_count, name=name, added_at=desk.clock(),
            )
        )  # fmt: skip
        session.flush()
        return _now_second(session, desk, here, kept.staff_row(session, here.staff.id), "add passkey", name)


def remove_passkey(desk: Desk, here: SignedIn, key: str) -> None:
    """Take a passkey out. Refused for the last second factor."""
    with desk.transaction() as session:
        row = session.get(PasskeyRow, key)
        if row is None or row.staff_id != here.staff.id:
            raise NotAllowed("that is no passkey of yours", "remove passkey")
        if not here.staff.has_code and here.staff.passkeys < 2:
            raise Refused("it is your only second factor; set up another one first")
        session.delete(row)
        queries.audit(session, desk.clock(), desk.who, "remove passkey", None, detail=row.name, why="own sign-in")


# ---- where one is signed in ----------------------------------------------------------------------------------------


def end_places(desk: Desk, here: SignedIn, place_id: str = "") -> int:
    """Sign out one's other browsers, or the one named; how many it were."""
    with desk.transaction() as session:
        if place_id:
            row = session.get(SignInRow, place_id)
            mine = row is not None and row.staff_id == here.staff.id
            if mine:
                session.delete(row)
            out = int(mine)
        else:
            out = kept.end_sessions(session, here.staff.id, but=here.id)
        queries.audit(session, desk.clock(), desk.who, "end session", None, detail=_out(out), why="own sign-in")
        return out
