"""What is done about people, sites and tablets."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django.contrib.auth.hashers import make_password
from django.db import transaction

from kitchen.base.refusals import Refused
from kitchen.ledger.chain import Hand, record
from kitchen.ledger.models import Entry
from kitchen.ledger.projections import projects
from kitchen.people.models import Person, Role, Site, Tablet


def open_site(*, now: datetime, **facts: Any) -> Site:
    """Open a site and begin its chain."""
    with transaction.atomic():
        site = Site.objects.create(**facts)
        said = {
            name: getattr(site, name)
            for name in ("name", "code", "timezone", "regime", "temperature_unit", "altitude_m")
        }
        record("site.open", said, hand=Hand(site=site, now=now))
    return site


@projects("site.open")
def _site_open(entry: Entry, said: dict[str, Any]) -> None:
    """The site's row was there before its chain could begin."""


def add_person(
    *,
    site: Site,
    code: str,
    name: str,
    role: str,
    handle: str,
    hand: Hand,
    cook_code: str = "",
    password: str = "",
) -> Person:
    """Add a person. The entry carries code and role; name and secrets stay out of the chain."""
    if role == Role.HEAD_CHEF and not password:
        raise Refused("A head chef needs a password.", "password")
    with transaction.atomic():
        person = Person.objects.create_user(
            handle,
            password or None,
            site=site,
            code=code,
            name=name,
            role=role,
            cook_code=make_password(cook_code) if cook_code else "",
        )
        record("person.add", {"code": code, "role": role}, hand=hand)
    return person


@projects("person.add")
def _person_add(entry: Entry, said: dict[str, Any]) -> None:
    """The person's row holds the name, which is no part of the chain."""


def enrol_tablet(*, name: str, hand: Hand) -> Tablet:
    """Let a device sign cooks in by their code."""
    if not name.strip():
        raise Refused("Give the tablet a name, such as the place where it hangs.", "name")
    with transaction.atomic():
        tablet = Tablet.objects.create(site=hand.site, name=name.strip(), enrolled_at=hand.moment)
        record("tablet.enrol", {"tablet": tablet.pk, "name": tablet.name}, hand=hand)
    return tablet


@projects("tablet.enrol")
def _tablet_enrol(entry: Entry, said: dict[str, Any]) -> None:
    """The tablet's row was made by the action: its id is what the device keeps."""


def revoke_tablet(*, tablet: Tablet, hand: Hand) -> None:
    """A lost tablet signs nobody in any more."""
    record("tablet.revoke", {"tablet": tablet.pk}, hand=hand)


@projects("tablet.revoke")
def _tablet_revoke(entry: Entry, said: dict[str, Any]) -> None:
    Tablet.objects.filter(pk=said["tablet"]).update(revoked_at=entry.happened_at)
