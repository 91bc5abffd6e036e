"""Keep an assessment as plain JSON and read it back."""

from __future__ import annotations

import dataclasses
from datetime import date, datetime
from typing import Any

from haccp import record

_MOMENTS = frozenset({"since", "remedy_by", "hold_from", "hold_until", "epoch"})


def to_json(assessment: record.Assessment) -> dict[str, Any]:
    """Plain JSON values of an assessment."""

    def plain(value: Any) -> Any:
        if isinstance(value, datetime | date):
            return value.isoformat()
        if isinstance(value, dict):
            return {key: plain(each) for key, each in value.items()}
        if isinstance(value, list | tuple):
            return [plain(each) for each in value]
        return value

    kept: dict[str, Any] = plain(dataclasses.asdict(assessment))
    return kept


def _moments(said: dict[str, Any]) -> dict[str, Any]:
    return {
        name: datetime.fromisoformat(value) if name in _MOMENTS and value else value
        for name, value in said.items()
    }


def _finding(said: dict[str, Any]) -> record.Finding:
    fields = _moments(said)
    fields["step"] = record.Step(said["step"])
    fields["outcome"] = record.Outcome(said["outcome"])
    fields["entries"] = tuple(said["entries"])
    return record.Finding(**fields)


def _bag(said: dict[str, Any]) -> record.BagAssessment:
    fields = _moments(said)
    fields["outcome"] = record.Outcome(said["outcome"])
    fields["findings"] = tuple(_finding(each) for each in said["findings"])
    if said["curve"]:
        curve = _moments(said["curve"])
        fields["curve"] = record.BagCurve(
            **{name: tuple(value) if isinstance(value, list) else value for name, value in curve.items()}
        )
    fields["use_by"] = date.fromisoformat(said["use_by"]) if said["use_by"] else None
    return record.BagAssessment(**fields)


def from_json(said: dict[str, Any]) -> record.Assessment:
    """The assessment that `to_json` kept."""
    fields = dict(said)
    fields["outcome"] = record.Outcome(said["outcome"])
    fields["bags"] = tuple(_bag(each) for each in said["bags"])
    fields["findings"] = tuple(_finding(each) for each in said["findings"])
    return record.Assessment(**fields)
