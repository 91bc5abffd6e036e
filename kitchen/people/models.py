"""Sites, the people who work there, and the tablets they share."""

from __future__ import annotations

from typing import Any
from zoneinfo import ZoneInfo

from django.contrib.auth.base_user import AbstractBaseUser, BaseUserManager
from django.db import models

from kitchen.base.ids import new_id
from kitchen.ledger.models import Fact


class Site(models.Model):
    """One kitchen. `regime` is the one that it opened under; `regime.rules_of` knows that of a day."""

    class Temperature(models.TextChoices):
        """The unit in which temperatures are shown and typed; stored in °C."""

        CELSIUS = "degC", "°C"
        FAHRENHEIT = "degF", "°F"

    slug = models.SlugField(unique=True)
    name = models.CharField(max_length=80)
    code = models.CharField("short code", max_length=6)
    timezone = models.CharField(max_length=40)
    regime = models.CharField(max_length=12)
    temperature_unit = models.CharField(max_length=4, choices=Temperature, default=Temperature.CELSIUS)
    altitude_m = models.PositiveSmallIntegerField("altitude", default=0)

    def __str__(self) -> str:
        return self.name

    @property
    def zone(self) -> ZoneInfo:
        """The site's time zone."""
        return ZoneInfo(self.timezone)


class RegimeChange(Fact):
    """From a day on, other critical limits apply at a site. Batches opened before keep theirs."""

    site = models.ForeignKey(Site, on_delete=models.PROTECT, related_name="regime_changes")
    regime = models.CharField(max_length=12)
    from_day = models.DateField()
    reason = models.TextField()


class LimitChoice(Fact):
    """A limit that ships switched off was put in force at a site, or was taken out again."""

    site = models.ForeignKey(Site, on_delete=models.PROTECT, related_name="limit_choices")
    limit = models.CharField(max_length=60)
    on = models.BooleanField()
    reason = models.TextField()


class KeptRuleset(models.Model):
    """The limits by which something was signed, word for word: SHA-256 of `content` gives `digest`."""

    digest = models.CharField(max_length=64, primary_key=True)
    content = models.TextField()
    kept_at = models.DateTimeField()

    def __str__(self) -> str:
        return self.digest[:16]


class Role(models.TextChoices):
    """What a person may do."""

    COOK = "cook", "cook"
    HEAD_CHEF = "head chef", "head chef"


class PersonManager(BaseUserManager["Person"]):
    """Makes people; a password is optional, since cooks sign with a cook code."""

    def create_user(self, handle: str, password: str | None = None, **fields: Any) -> Person:
        """A person with a hashed password, or none."""
        person = self.model(handle=handle, **fields)
        person.set_password(password)
        person.save(using=self._db)
        return person


class Person(AbstractBaseUser):
    """Someone who works at a site. Entries carry `code`; the name stands here only."""

    site = models.ForeignKey(Site, on_delete=models.PROTECT, related_name="people")
    handle = models.CharField("sign-in name", max_length=80, unique=True)
    code = models.CharField("staff code", max_length=8)
    name = models.CharField(max_length=80)
    role = models.CharField(max_length=12, choices=Role)
    cook_code = models.CharField(max_length=160, blank=True)
    is_active = models.BooleanField(default=True)

    USERNAME_FIELD = "handle"
    objects = PersonManager()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["site", "code"], name="person_site_code")]
        verbose_name_plural = "people"

    def __str__(self) -> str:
        return self.name

    @property
    def is_head_chef(self) -> bool:
        """May decide at the Pass and keep methods, people and equipment."""
        return self.role == Role.HEAD_CHEF


class Tablet(models.Model):
    """A device that may sign cooks in by their code."""

    id = models.UUIDField(primary_key=True, default=new_id, editable=False)
    site = models.ForeignKey(Site, on_delete=models.PROTECT, related_name="tablets")
    name = models.CharField(max_length=40)
    enrolled_at = models.DateTimeField()
    revoked_at = models.DateTimeField(null=True)

    def __str__(self) -> str:
        return self.name


class SignInTry(models.Model):
    """A try to sign in, kept so that guessing a code is slow."""

    at = models.DateTimeField(db_index=True)
    who = models.CharField(max_length=80)
    where = models.CharField(max_length=80)
    worked = models.BooleanField()

    def __str__(self) -> str:
        return f"{self.who} at {self.at:%H:%M}"
