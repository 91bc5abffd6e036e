"""On PostgreSQL the app works with a role that may add to the records and never change them."""

from decimal import Decimal

import pytest
from django.core.checks import run_checks
from django.core.management import CommandError, call_command
from django.db import ProgrammingError, connection, transaction

from kitchen.cooking import actions as cooking
from kitchen.ledger import guards
from kitchen.ledger.models import Entry
from kitchen.ledger.roles import statements
from kitchen.ledger.verification import verify
from kitchen.review import actions as review

pytestmark = pytest.mark.django_db


@pytest.fixture
def only_adds(factory):
    """A kitchen whose session has taken on the role."""
    if connection.vendor != "postgresql":
        pytest.skip("postgresql only")
    connection.check_constraints()
    call_command("app_role", "bathbook_tests", "--apply", verbosity=0)
    with connection.cursor() as cursor:
        cursor.execute("SET ROLE bathbook_tests")
    yield factory
    with connection.cursor() as cursor:
        cursor.execute("RESET ROLE")


@pytest.mark.parametrize("table", guards.TABLES)
@pytest.mark.parametrize(
    "statement", ["UPDATE {0} SET {1} = {1}", "DELETE FROM {0}", "TRUNCATE {0} CASCADE", "DROP TABLE {0}"]
)
def test_what_is_kept_can_not_be_touched(only_adds, table, statement):
    with (
        pytest.raises(ProgrammingError, match=r"permission denied|must be owner"),
        transaction.atomic(),
        connection.cursor() as cursor,
    ):
        cursor.execute(statement.format(table, guards.TABLES[table]))


def test_a_guard_can_not_be_dropped(only_adds):
    with pytest.raises(ProgrammingError, match="must be owner"), transaction.atomic():
        guards.lift()


def test_the_work_goes_on(only_adds):
    batch = only_adds.chilled(bags=2)
    chef = only_adds.hand(only_adds.chef)
    review.decide(bags=list(batch.bags.all()), decision="discard", reason="taught a class", hand=chef)
    log = cooking.start_bath(bath=only_adds.bath("Bath 9"), set_point_c=Decimal(60), hand=only_adds.hand())
    only_adds.read(log, "60.1")
    assert Entry.objects.filter(kind="bath.read").exists()
    assert verify(only_adds.site).flaw is None


def test_a_deploy_check_names_a_role_that_may_do_more(factory):
    if connection.vendor != "postgresql":
        pytest.skip("postgresql only")
    found = run_checks(databases=["default"], include_deployment_checks=True)
    assert [each for each in found if each.id == "kitchen.W006"]


def test_and_is_content_with_one_that_may_not(only_adds):
    found = run_checks(databases=["default"], include_deployment_checks=True)
    assert not [each for each in found if each.id == "kitchen.W006"]


@pytest.mark.parametrize("name", ["", "x; DROP TABLE kitchen_entry", 'a"b', "Große", "1a"])
def test_a_name_that_would_need_quotes_is_refused(name):
    with pytest.raises(ValueError, match="no plain name"):
        statements(name, "bathbook")


def test_sqlite_has_no_roles():
    if connection.vendor == "postgresql":
        pytest.skip("sqlite only")
    with pytest.raises(CommandError, match="Only PostgreSQL"):
        call_command("app_role", "bathbook")
