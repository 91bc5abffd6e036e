"""Sign in: a cook by code on an enrolled tablet, the head chef by password."""

from __future__ import annotations

from datetime import datetime, timedelta

from django.contrib.auth import authenticate
from django.contrib.auth.hashers import check_password, make_password
from django.http import HttpRequest, HttpResponse

from kitchen.base.refusals import Refused
from kitchen.people.models import Person, SignInTry, Tablet

COOKIE = "tablet"
TRIES = 5
WITHIN = timedelta(minutes=10)
# Spent where there is no such person, so that the answer takes as long as a wrong code does.
_DECOY = make_password("0000")


def tablet_of(request: HttpRequest) -> Tablet | None:
    """The enrolled tablet that this request comes from, if any."""
    said = request.get_signed_cookie(COOKIE, default=None)
    return Tablet.objects.filter(pk=said, revoked_at__isnull=True).first() if said else None


def remember_tablet(response: HttpResponse, tablet: Tablet, *, secure: bool) -> None:
    """Leave the enrolment on the device."""
    response.set_signed_cookie(
        COOKIE, str(tablet.pk), max_age=400 * 86400, httponly=True, samesite="Lax", secure=secure
    )


def _wait_if_guessing(who: str, where: str, at: datetime) -> None:
    failed = SignInTry.objects.filter(who=who, where=where, worked=False, at__gt=at - WITHIN).count()
    if failed >= TRIES:
        raise Refused("Too many wrong tries here. Wait ten minutes, or ask the head chef to sign in.")


def by_code(*, tablet: Tablet, person: Person | None, code: str, at: datetime) -> Person:
    """The cook whose code was typed on this tablet."""
    who = person.handle if person else "nobody"
    _wait_if_guessing(who, str(tablet.pk), at)
    known = (
        person is not None
        and person.is_active
        and person.site_id == tablet.site_id
        and bool(person.cook_code)
    )
    right = check_password(code, person.cook_code if known and person else _DECOY) and known
    SignInTry.objects.create(at=at, who=who, where=str(tablet.pk), worked=right)
    if not right or person is None:
        raise Refused("That code does not match. Pick your name and type your own code.", "code")
    return person


def by_password(*, request: HttpRequest, handle: str, password: str, at: datetime) -> Person:
    """The person with this sign-in name and password."""
    where = request.META.get("REMOTE_ADDR", "")
    _wait_if_guessing(handle, where, at)
    person = authenticate(request, username=handle, password=password)
    SignInTry.objects.create(at=at, who=handle[:80], where=where, worked=person is not None)
    if not isinstance(person, Person):
        raise Refused("Name and password do not match.", "password")
    return person
