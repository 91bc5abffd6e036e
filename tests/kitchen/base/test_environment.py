"""Settings from the environment: what is not understood is refused."""

import pytest
from django.core.exceptions import ImproperlyConfigured

from kitchen.base.environment import Environment


def test_an_unknown_name_is_refused():
    with pytest.raises(ImproperlyConfigured, match="BATHBOOK_DEBGU"):
        Environment({"BATHBOOK_DEBGU": "on", "PATH": "/bin"})


@pytest.mark.parametrize("said", ["flase", "1", "yes", ""])
def test_an_unknown_value_is_refused(said):
    with pytest.raises(ImproperlyConfigured, match="'on' or 'off'"):
        Environment({"BATHBOOK_DEBUG": said}).switch("DEBUG", False)


def test_known_values():
    env = Environment({"BATHBOOK_DEBUG": "on", "BATHBOOK_HOSTS": "a.example, b.example,"})
    assert env.switch("DEBUG", False)
    assert not env.switch("HTTPS", False)
    assert env.names("HOSTS", []) == ["a.example", "b.example"]
    assert env.names("HOSTS", ["x"]) != ["x"]
    assert env.text("DATABASE", "db") == "db"
