"""What the Pass keeps: assessments, corrective actions, dispositions, sign-off."""

from __future__ import annotations

from django.db import models

from kitchen.batches.models import Bag, Batch
from kitchen.ledger.models import Fact
from kitchen.people.models import KeptRuleset


class Assessed(models.Model):
    """The newest assessment of a batch, computed when an entry landed. It can be computed again."""

    batch = models.OneToOneField(Batch, on_delete=models.CASCADE, related_name="assessed")
    made_at = models.DateTimeField()
    record_digest = models.CharField(max_length=64)
    outcome = models.CharField(max_length=16)
    assessment = models.JSONField()

    def __str__(self) -> str:
        return f"{self.batch}: {self.outcome}"


class CorrectiveAction(Fact):
    """What was done about a deviation: its cause, the action, and what keeps it from coming again."""

    batch = models.ForeignKey(Batch, on_delete=models.PROTECT, related_name="corrective_actions")
    rule = models.CharField(max_length=60)
    finding = models.TextField()
    cause = models.TextField()
    action = models.TextField()
    prevention = models.TextField(blank=True)


class Disposition(Fact):
    """What is to become of a bag."""

    class Decision(models.TextChoices):
        """The three dispositions."""

        RELEASE = "release", "release"
        REWORK = "rework", "rework"
        DISCARD = "discard", "discard"

    bag = models.ForeignKey(Bag, on_delete=models.PROTECT, related_name="dispositions")
    decision = models.CharField(max_length=8, choices=Decision)
    reason = models.TextField()


class SignOff(Fact):
    """A head chef's signature under a batch, over what was known then."""

    batch = models.ForeignKey(Batch, on_delete=models.PROTECT, related_name="sign_offs")
    record_digest = models.CharField(max_length=64)
    outcome = models.CharField(max_length=16)
    meaning = models.CharField(max_length=200)


class SignedAssessment(models.Model):
    """The assessment that was signed, as it was. Limits that change later do not touch it."""

    sign_off = models.OneToOneField(SignOff, on_delete=models.PROTECT, related_name="signed")
    ruleset = models.ForeignKey(KeptRuleset, on_delete=models.PROTECT, related_name="+")
    engine = models.CharField(max_length=40)
    assessment = models.JSONField()

    def __str__(self) -> str:
        return str(self.sign_off_id)
