"""The one Django app; on start it puts the guards and the checks in place."""

from importlib import import_module
from pathlib import Path

from django.apps import AppConfig
from django.db.models.signals import post_migrate


class KitchenConfig(AppConfig):
    """Registers what must hold from the first request on."""

    name = "kitchen"
    default_auto_field = "django.db.models.BigAutoField"

    @staticmethod
    def rooms() -> list[str]:
        """The rooms in which something can be done; importing them registers their projections."""
        home = Path(__file__).parent
        return sorted(path.parent.name for path in home.glob("*/actions.py"))

    def ready(self) -> None:
        """Guards are put back after every migrate: a table rebuild on SQLite drops triggers."""
        from kitchen import checks  # noqa: F401  (registers the system checks)
        from kitchen.ledger import guards

        for room in self.rooms():
            import_module(f"kitchen.{room}.actions")

        from kitchen.review import landing

        landing.listen()
        post_migrate.connect(guards.put_in_place, sender=self, dispatch_uid="kitchen.ledger.guards")
