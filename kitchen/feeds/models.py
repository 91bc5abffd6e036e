"""Logger files, kept as they came."""

from __future__ import annotations

from django.db import models

from kitchen.people.models import Site


class LogFile(models.Model):
    """The bytes of a logger file and their digest. Kept, so that an import can be read again."""

    site = models.ForeignKey(Site, on_delete=models.PROTECT, related_name="log_files")
    digest = models.CharField(max_length=64)
    name = models.CharField(max_length=120)
    content = models.BinaryField()
    kept_at = models.DateTimeField()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["site", "digest"], name="logfile_site_digest")]

    def __str__(self) -> str:
        return self.name
