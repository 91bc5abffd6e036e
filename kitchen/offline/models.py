"""The key to which tablets seal cook codes."""

from __future__ import annotations

from django.db import models


class SealKey(models.Model):
    """The server's private key. It stays out of the chain, and out of every page and answer.

    It lies in the database, so that a restored copy opens what tablets kept meanwhile and every process of
    a server uses the same one. Who steals the database gains nothing by it: the same thief has the hashes
    of the codes, and four digits are soon tried through.
    """

    name = models.CharField(max_length=20, unique=True)
    private = models.TextField()

    def __str__(self) -> str:
        return self.name
