"""What all tests share: a small cast of people, a factory, and the guards lifted for clean-up only."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

QUIET = (
    "--disable-gpu",
    "--disable-dev-shm-usage",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)


@pytest.fixture(scope="session")
def shared_reference() -> Path:
    """The folder of gathered references beside the project, where it is laid; else the test is left out."""
    folder = Path(__file__).resolve().parents[2] / "shared" / "reference"
    if not folder.is_dir():
        pytest.skip("the gathered references are not laid beside this checkout")
    return folder


@pytest.fixture(scope="session")
def browser_type_launch_args(browser_type_launch_args: dict[str, Any]) -> dict[str, Any]:
    """Debian's Chromium, kept from looking for the network."""
    return {**browser_type_launch_args, "executable_path": "/usr/bin/chromium", "args": list(QUIET)}


@pytest.fixture(scope="session")
def django_db_modify_db_settings(
    django_db_modify_db_settings: None, tmp_path_factory: pytest.TempPathFactory
) -> None:
    """SQLite in a file, so that every thread of the test server has a connection of its own.

    In memory Django lets all threads share one, and two requests at a time get into one another's
    transaction: that is no server anyone runs.
    """
    from django.db import connection

    if connection.vendor == "sqlite":
        connection.settings_dict["TEST"]["NAME"] = str(tmp_path_factory.mktemp("db") / "test.sqlite3")


@pytest.fixture(scope="session")
def browser(live_server: Any, launch_browser: Callable[[], Any]) -> Iterator[Any]:
    """One Chromium for all tests, closed before the server that it talks to.

    It keeps connections open. A thread of the server that still waits on one when the server has
    stopped finds its database connection gone, and fails in the middle of somebody else's test.
    """
    chromium = launch_browser()
    yield chromium
    chromium.close()
    for thread in threading.enumerate():
        if "process_request_thread" in thread.name:
            thread.join(timeout=10)


@pytest.fixture(scope="session", autouse=True)
def _lift_guards_for_clean_up() -> Iterator[None]:
    """A transactional test empties its tables when it ends, which the guards refuse by design.

    They are lifted for that moment; the flush sends `post_migrate`, which puts them back.
    """
    from django.test import TransactionTestCase

    from kitchen.ledger import guards

    original = TransactionTestCase._fixture_teardown

    def teardown(self: TransactionTestCase) -> None:
        guards.lift()
        original(self)
        guards.put_in_place()

    TransactionTestCase._fixture_teardown = teardown  # type: ignore[method-assign]
    yield
    TransactionTestCase._fixture_teardown = original  # type: ignore[method-assign]


@pytest.fixture(scope="session")
def django_db_setup(django_db_setup: None, django_db_blocker: Any) -> Iterator[None]:
    """PostgreSQL drops no database that a forgotten session still holds: end such sessions first."""
    yield
    from django.db import connection

    with django_db_blocker.unblock():
        if connection.vendor == "postgresql":
            with connection.cursor() as cursor:
                cursor.execute(
                    "SELECT pg_terminate_backend(pid, 5000) FROM pg_stat_activity "
                    "WHERE datname = current_database() AND pid <> pg_backend_pid()"
                )


@pytest.fixture(autouse=True)
def _quick_static(settings: Any) -> None:
    """Tests serve static files straight from their folders."""
    settings.WHITENOISE_AUTOREFRESH = True


@pytest.fixture
def factory(db: None) -> Any:
    """Makes what a test needs, through the actions."""
    from tests.kitchen.factory import Factory

    return Factory()


@pytest.fixture
def site(factory: Any) -> Any:
    """The kitchen of the tests."""
    return factory.site


@pytest.fixture
def cook(factory: Any) -> Any:
    """A line cook of that kitchen."""
    return factory.cook


@pytest.fixture
def chef(factory: Any) -> Any:
    """Its head chef."""
    return factory.chef


@pytest.fixture
def stranger(factory: Any) -> Any:
    """The head chef of another kitchen."""
    return factory.stranger


@pytest.fixture
def as_cook(client: Any, cook: Any) -> Any:
    """A test client with the cook signed in."""
    client.force_login(cook)
    return client


@pytest.fixture
def as_chef(client: Any, chef: Any) -> Any:
    """A test client with the head chef signed in."""
    client.force_login(chef)
    return client


@pytest.fixture
def as_stranger(client: Any, stranger: Any) -> Any:
    """A test client with the other kitchen's head chef signed in."""
    client.force_login(stranger)
    return client
