"""One setting says where the records are kept. Form of the address: PostgreSQL's manual, 34.1.1.2."""

import pytest
from django.core.exceptions import ImproperlyConfigured

from kitchen.base.database import database


def test_a_path_is_a_file_of_sqlite_that_outlives_a_power_cut():
    found = database("/srv/bathbook/records.sqlite3")
    assert found["ENGINE"].endswith("sqlite3")
    assert found["NAME"] == "/srv/bathbook/records.sqlite3"
    assert found["OPTIONS"]["transaction_mode"] == "IMMEDIATE"
    assert "synchronous=FULL" in found["OPTIONS"]["init_command"]


@pytest.mark.parametrize(
    ("address", "said"),
    [
        ("postgresql://host/book", ("", "", "host", "", "book")),
        ("postgresql://user@localhost:5433/book", ("user", "", "localhost", "5433", "book")),
        ("postgresql://user:p%40ss%2Fword@db/book", ("user", "p@ss/word", "db", "", "book")),
        ("postgresql:///book?host=/run/postgresql&port=5434", ("", "", "/run/postgresql", "5434", "book")),
        ("postgresql://[2001:db8::1234]/book", ("", "", "2001:db8::1234", "", "book")),
        ("postgresql://%2Fvar%2Flib%2Fpostgresql/book", ("", "", "/var/lib/postgresql", "", "book")),
    ],
)
def test_an_address_is_taken_apart(address, said):
    found = database(address)
    assert found["ENGINE"].endswith("postgresql")
    assert tuple(found[key] for key in ("USER", "PASSWORD", "HOST", "PORT", "NAME")) == said
    assert found["CONN_HEALTH_CHECKS"]


def test_encryption_is_handed_on():
    options = database("postgresql://db/book?sslmode=verify-full&sslrootcert=/etc/ca.pem")["OPTIONS"]
    assert options["sslmode"] == "verify-full"
    assert options["sslrootcert"] == "/etc/ca.pem"


@pytest.mark.parametrize(
    ("address", "word"),
    [
        ("mysql://host/book", "mysql"),
        ("postgresql://host", "one database"),
        ("postgresql://host/a/b", "one database"),
        ("postgresql://host:door/book", "can't be read"),
        ("postgresql://host/book?sslmod=require", "sslmod"),
        ("postgresql://host/book?sslmode", "can't be read"),
    ],
)
def test_what_is_not_understood_is_refused(address, word):
    with pytest.raises(ImproperlyConfigured, match=word):
        database(address)
