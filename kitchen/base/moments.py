"""Moments: read once at the edge, shown in the kitchen's own time zone."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

from django.utils import timezone as django_timezone


def now() -> datetime:
    """The server's time in UTC. Called at the edge of a request or command only."""
    return django_timezone.now().astimezone(UTC)


def local(moment: datetime, timezone: str) -> datetime:
    """A moment in a site's time zone."""
    return moment.astimezone(ZoneInfo(timezone))


def minute_up(moment: datetime) -> datetime:
    """The whole minute at or after a moment."""
    whole = moment.replace(second=0, microsecond=0)
    return whole if whole == moment else whole + timedelta(minutes=1)


def clock(moment: datetime | None, timezone: str, today: date | None = None) -> str:
    """24 h clock time, with the date in front when it is not today."""
    if moment is None:
        return "–"
    here = local(moment, timezone)
    if today is not None and here.date() == today:
        return f"{here:%H:%M}"
    return f"{here:%a} {here.day} {here:%b %H:%M}"


def span(duration: timedelta) -> str:
    """A duration in words a cook uses: 35 min, 2 h 05 min, 3 d 4 h."""
    minutes = round(duration.total_seconds() / 60)
    if minutes < 0:
        return "−" + span(-duration)
    if minutes < 90:
        return f"{minutes} min"
    hours, minutes = divmod(minutes, 60)
    if hours < 48:
        return f"{hours} h {minutes:02d} min"
    days, hours = divmod(hours, 24)
    return f"{days} d {hours} h"
