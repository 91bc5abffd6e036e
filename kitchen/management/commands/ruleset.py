"""`manage.py ruleset`: what is in force at each site, what changed between two days or regimes, and why."""

from __future__ import annotations

from datetime import date
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from haccp import explain
from haccp.errors import DataError
from haccp.limits import Ruleset, all_limits, ruleset
from kitchen.base import moments
from kitchen.law.effects import touched
from kitchen.methods.governed import open_methods
from kitchen.people.models import Site
from kitchen.people.regime import regime_on, rules_of


class Command(BaseCommand):
    """Show the critical limits in force, compare two states of them, or explain one."""

    help = (
        "Show the ruleset of each site; --diff A B compares two days, or two regimes each on a day "
        "(UK@2026-01-01), and names the open methods that the change touches; --explain ID explains a limit."
    )

    def add_arguments(self, parser: Any) -> None:
        parser.add_argument("--diff", nargs=2, metavar=("A", "B"), help="a day, or regime@day")
        parser.add_argument("--explain", metavar="ID", help="a limit")
        parser.add_argument("--site", metavar="SLUG", help="one site only")

    def handle(self, *args: Any, **options: Any) -> None:
        sites = Site.objects.order_by("slug")
        if options["site"]:
            sites = sites.filter(slug=options["site"])
            if not sites:
                raise CommandError(f"There is no site {options['site']}.")
        try:
            if options["explain"]:
                self._explain(options["explain"])
            elif options["diff"]:
                self._diff(list(sites), *options["diff"])
            else:
                self._now(list(sites))
        except DataError as error:
            raise CommandError(str(error)) from error

    def _now(self, sites: list[Site]) -> None:
        for site in sites:
            day = moments.local(moments.now(), site.timezone).date()
            rules = rules_of(site, day)
            self.stdout.write(
                f"{site.name}: {rules.name} ({rules.regime}) on {day}, {len(rules.rows)} limits, "
                f"ruleset {rules.digest[:16]}."
            )

    def _explain(self, key: str) -> None:
        found = next((each for each in all_limits() if each.id == key), None)
        if found is None:
            near = sorted(each.id for each in all_limits() if key.upper() in each.id)
            raise CommandError(
                f"There is no limit {key}." + (f" There is: {', '.join(near)}." if near else "")
            )
        self.stdout.write(explain(found))

    def _diff(self, sites: list[Site], before: str, after: str) -> None:
        one, two = _said(before), _said(after)
        if one[0] or two[0]:
            # A day alone takes the regime that stands beside the other one.
            regimes = (one[0] or two[0], two[0] or one[0])
            self._tell("", ruleset(regimes[0], one[1]), ruleset(regimes[1], two[1]))
            for site in sites:
                today = moments.local(moments.now(), site.timezone).date()
                if regime_on(site, today) in regimes:
                    self._touch(site, ruleset(regimes[0], one[1]), ruleset(regimes[1], two[1]))
            return
        for site in sites:
            rules = rules_of(site, one[1]), rules_of(site, two[1])
            self._tell(f"{site.name}: ", *rules)
            self._touch(site, *rules)

    def _tell(self, whose: str, before: Ruleset, after: Ruleset) -> None:
        changed, _ = touched([], before, after)
        self.stdout.write(
            f"{whose}{before.regime} on {before.day} to {after.regime} on {after.day}: "
            f"{len(changed)} of {len(after.rows)} limits differ."
        )
        for each in changed:
            was, will = each.before or "not in force", each.after or "not in force"
            if was == will:
                will = "the same figure, on other terms"
            self.stdout.write(f"  {each.id}: {was} → {will} ({each.condition})")

    def _touch(self, site: Site, before: Ruleset, after: Ruleset) -> None:
        _, found = touched(open_methods(site), before, after)
        self.stdout.write(f"  {site.name}: {_count(len(found))} touched.")
        for each in found:
            self.stdout.write(f"    {each.method}: {', '.join(each.limits)}")
            self.stdout.writelines(f"      would fail: {said}\n" for said in each.failing)


def _said(text: str) -> tuple[str, date]:
    """A regime, or none, and a day."""
    regime, _, day = text.rpartition("@")
    try:
        return regime, date.fromisoformat(day)
    except ValueError:
        raise CommandError(
            f"“{text}” is neither a day (2026-11-25) nor regime@day (UK@2026-11-25)."
        ) from None


def _count(methods: int) -> str:
    return (
        "no open method is"
        if not methods
        else "1 open method is"
        if methods == 1
        else f"{methods} open methods are"
    )
