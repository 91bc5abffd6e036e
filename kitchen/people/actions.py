"""What is done about people, sites and tablets."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

from django.contrib.auth.hashers import make_password
from django.db import transaction

from haccp.limits import all_limits, regimes
from kitchen.base.refusals import Refused
from kitchen.ledger.chain import Hand, record, taken_before
from kitchen.ledger.models import Entry
from kitchen.ledger.projections import projects
from kitchen.people.models import LimitChoice, Person, RegimeChange, Role, Site, Tablet
from kitchen.people.regime import chosen_on, regime_on


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


def check_cook_code(cook_code: str) -> None:
    """A cook code is four to eight digits, not all the same; raises `Refused`."""
    if not (cook_code.isascii() and cook_code.isdigit() and 4 <= len(cook_code) <= 8):
        raise Refused("A cook code is four to eight digits.", "cook_code")
    if len(set(cook_code)) == 1:
        raise Refused("Not the same digit all through: anyone would try it first.", "cook_code")


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
    again = taken_before(hand)
    if again:
        return Person.objects.get(site=site, code=again.said["code"])
    if role == Role.HEAD_CHEF and not password:
        raise Refused("A head chef needs a password.", "password")
    if cook_code:
        check_cook_code(cook_code)
    if Person.objects.filter(site=site, code=code).exists():
        raise Refused(f"The staff code {code} is taken. Entries carry it, so it is given once.", "code")
    if Person.objects.filter(handle=handle).exists():
        raise Refused("That sign-in name is taken.", "code")
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


def change_cook_code(*, person: Person, cook_code: str, hand: Hand) -> None:
    """Give a person another cook code. The entry says that it changed, never what it is."""
    if taken_before(hand):
        return
    check_cook_code(cook_code)
    with transaction.atomic():
        person.cook_code = make_password(cook_code)
        person.save(update_fields=["cook_code"])
        record("person.code", {"code": person.code}, hand=hand)


@projects("person.code")
def _person_code(entry: Entry, said: dict[str, Any]) -> None:
    """The person's row holds the code's hash, which is no part of the chain."""


def let_go(*, person: Person, hand: Hand) -> None:
    """A person who left signs in no more; what they entered stays theirs."""
    if taken_before(hand):
        return
    if hand.person and hand.person.pk == person.pk:
        raise Refused("You can't shut yourself out. Another head chef can.")
    record("person.leave", {"code": person.code}, hand=hand)


@projects("person.leave")
def _person_leave(entry: Entry, said: dict[str, Any]) -> None:
    Person.objects.filter(site=entry.site, code=said["code"]).update(is_active=False)


def take_back(*, person: Person, hand: Hand) -> None:
    """A person who came back signs in again."""
    record("person.return", {"code": person.code}, hand=hand)


@projects("person.return")
def _person_return(entry: Entry, said: dict[str, Any]) -> None:
    Person.objects.filter(site=entry.site, code=said["code"]).update(is_active=True)


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


def _chooses(hand: Hand, reason: str) -> None:
    if not (hand.person and hand.person.is_head_chef):
        raise Refused("Only the head chef chooses whose limits apply.")
    if not reason.strip():
        raise Refused("Give the reason: the officer reads it beside the limits.", "reason")


def change_regime(*, regime: str, from_day: date, reason: str, hand: Hand) -> Entry:
    """Let another regime apply from a day on. Batches that are begun before keep theirs."""
    _chooses(hand, reason)
    again = taken_before(hand)
    if regime not in regimes():
        raise Refused("Choose a regime from the list.", "regime")
    if not again and from_day < hand.moment.astimezone(hand.site.zone).date():
        raise Refused("A change of regime begins today or later: what is past keeps its limits.", "from_day")
    if not again and regime_on(Site.objects.get(pk=hand.site.pk), from_day) == regime:
        raise Refused("That regime applies on that day already.", "regime")
    said = {"regime": regime, "from_day": from_day, "reason": reason.strip()}
    entry = record("site.regime", said, hand=hand)
    hand.site.refresh_from_db()
    return entry


@projects("site.regime")
def _site_regime(entry: Entry, said: dict[str, Any]) -> None:
    RegimeChange.objects.create(entry=entry, at=entry.happened_at, site=entry.site, **said)


def choose_limit(*, limit: str, on: bool, reason: str, hand: Hand) -> Entry:
    """Put a limit that ships switched off in force for batches begun from now on, or take it out again."""
    _chooses(hand, reason)
    if not taken_before(hand):
        if not any(each.id == limit and each.ships_off for each in all_limits()):
            raise Refused("Only a limit that ships switched off is chosen.", "limit")
        today = hand.moment.astimezone(hand.site.zone).date()
        if (limit in chosen_on(Site.objects.get(pk=hand.site.pk), today)) == on:
            raise Refused(f"{limit} is {'chosen' if on else 'not chosen'} already.", "limit")
    entry = record("limit.choose", {"limit": limit, "on": on, "reason": reason.strip()}, hand=hand)
    hand.site.refresh_from_db()
    return entry


@projects("limit.choose")
def _limit_choose(entry: Entry, said: dict[str, Any]) -> None:
    LimitChoice.objects.create(entry=entry, at=entry.happened_at, site=entry.site, **said)
