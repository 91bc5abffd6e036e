"""Who made an entry: proven by the server's own word at sign-in, or by a cook code sealed on the tablet.

A tablet without network can't check a cook code and must not keep anything by which it could be guessed.
It encrypts the code to this server's public key (RSA-OAEP with SHA-256, RFC 8017, section 7.1) and the
server checks it when the entries arrive.
"""

from __future__ import annotations

import base64
import json
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from typing import Any
from uuid import UUID

from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import padding, rsa
from django.core import signing

from kitchen.base.refusals import Refused
from kitchen.offline.models import SealKey
from kitchen.people.models import Person, Tablet
from kitchen.people.sign_in import by_code

NAME, SALT = "cook codes", "kitchen.offline.token"
# A sign-in counts for one long shift, and a little before it: clocks are never quite right.
SHIFT, BEFORE = timedelta(hours=16), timedelta(minutes=10)
_OAEP = padding.OAEP(mgf=padding.MGF1(hashes.SHA256()), algorithm=hashes.SHA256(), label=None)


def _private() -> rsa.RSAPrivateKey:
    kept = SealKey.objects.filter(name=NAME).first()
    if kept is None:
        made = rsa.generate_private_key(public_exponent=65537, key_size=2048)
        pem = made.private_bytes(
            serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, serialization.NoEncryption()
        )
        kept, _ = SealKey.objects.get_or_create(name=NAME, defaults={"private": pem.decode()})
    key = serialization.load_pem_private_key(kept.private.encode(), None)
    if not isinstance(key, rsa.RSAPrivateKey):
        raise TypeError("The key for cook codes is no RSA key.")
    return key


def public_key() -> str:
    """The public key for WebCrypto: SubjectPublicKeyInfo, in base64."""
    spki = (
        _private()
        .public_key()
        .public_bytes(serialization.Encoding.DER, serialization.PublicFormat.SubjectPublicKeyInfo)
    )
    return base64.b64encode(spki).decode()


def token(person: Person, at: datetime) -> str:
    """The server's word that this person was signed in at this moment; the tablet keeps it for its outbox."""
    return signing.dumps({"person": person.pk, "at": int(at.timestamp())}, salt=SALT)


@dataclass
class Proofs:
    """Checks who made the entries of one outbox. The same sealed code is checked once."""

    sender: Person
    now: datetime
    _seen: dict[str, Person | str] = field(default_factory=dict)

    def person_of(self, by: str, said: dict[str, Any], made_at: datetime) -> Person:
        """The person who made an entry; refuses where that is not proven."""
        person = Person.objects.filter(site=self.sender.site, code=by).first()
        if person is None:
            raise Refused(f"Nobody here has the staff code {by}." if by else "It does not say who made it.")
        if not person.is_active:
            raise Refused(f"{person} signs in here no more.")
        if said["token"]:
            signed_in = self._by_token(person, said["token"])
        elif said["sealed"]:
            signed_in = self._by_code(person, said["sealed"])
        elif person == self.sender:
            return person
        else:
            raise Refused(f"It says that {person} made it, and nothing shows that they signed in.")
        if not signed_in - BEFORE <= made_at <= signed_in + SHIFT:
            raise Refused(f"{person} did not sign in for the time at which it was made.")
        return person

    def _by_token(self, person: Person, word: str) -> datetime:
        try:
            said = signing.loads(word, salt=SALT)
        except signing.BadSignature:
            said = {}
        if said.get("person") != person.pk:
            raise Refused(f"The sign-in of {person} on that tablet can't be read.")
        return datetime.fromtimestamp(said["at"], UTC)

    def _by_code(self, person: Person, sealed: str) -> datetime:
        try:
            opened = json.loads(_private().decrypt(base64.b64decode(sealed, validate=True), _OAEP))
            code, at = str(opened["code"]), datetime.fromisoformat(str(opened["at"]))
            tablet = Tablet.objects.get(pk=UUID(str(opened["tablet"])), site=person.site)
            if opened["person"] != person.code or at.tzinfo is None:
                raise ValueError("sealed for someone else")
        except (ValueError, TypeError, KeyError, Tablet.DoesNotExist) as trouble:
            raise Refused(f"The cook code of {person} can't be opened.") from trouble
        if tablet.revoked_at and tablet.revoked_at < at:
            raise Refused(f"Tablet {tablet} was revoked before {person} signed in on it.")
        key = f"{person.pk} {sealed}"
        if key not in self._seen:
            try:
                self._seen[key] = by_code(tablet=tablet, person=person, code=code, at=self.now)
            except Refused:
                self._seen[key] = f"The cook code that was typed for {person} does not match."
        found = self._seen[key]
        if isinstance(found, str):
            raise Refused(found)
        return at
