"""A kitchen at work for the benchmarks of the tablet: three baths, forty open bags. Prints what they need."""

from __future__ import annotations

import json
from datetime import timedelta
from decimal import Decimal

import django

django.setup()

from django.conf import settings  # noqa: E402  (Django must be set up first)
from django.core.management import call_command  # noqa: E402
from django.core.signing import get_cookie_signer  # noqa: E402
from django.test import Client  # noqa: E402

from kitchen.base import moments  # noqa: E402
from kitchen.batches import actions as batches  # noqa: E402
from kitchen.cooking import actions as cooking  # noqa: E402
from kitchen.people.actions import enrol_tablet  # noqa: E402
from kitchen.people.sign_in import COOKIE  # noqa: E402
from tests.kitchen.factory import Factory  # noqa: E402


def fill() -> dict[str, object]:
    """Four batches of ten bags, in three baths, an hour in."""
    call_command("migrate", verbosity=0)
    factory = Factory()
    factory.now = moments.now() - timedelta(hours=2)
    method, lot = factory.method(), factory.lot()
    logs = [
        cooking.start_bath(bath=factory.bath(f"Bath {n}"), set_point_c=Decimal(64), hand=factory.hand())
        for n in (1, 2, 3)
    ]
    for log in logs:
        factory.read(log, "64.0")
    for number in range(4):
        batch = batches.open_batch(method=method, lots=[lot], hand=factory.hand(minutes=1))
        bags = batches.seal_bags(
            batch=batch, count=10, thickness_mm=Decimal(25), start_c=Decimal(5), hand=factory.hand()
        )
        cooking.bags_into_bath(bags=bags, bath_log=logs[number % 3], hand=factory.hand())
    for _ in range(3):
        factory.pass_time(28)
        for log in logs:
            factory.read(log, "63.9")
    client = Client()
    client.force_login(factory.cook)
    tablet = enrol_tablet(name="By the baths", hand=factory.hand(factory.chef))
    return {
        "log": logs[0].pk,
        "session": [settings.SESSION_COOKIE_NAME, client.cookies[settings.SESSION_COOKIE_NAME].value],
        "tablet": [COOKIE, get_cookie_signer(salt=COOKIE).sign(str(tablet.pk))],
    }


if __name__ == "__main__":
    print(json.dumps(fill()))
