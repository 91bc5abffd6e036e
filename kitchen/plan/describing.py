"""Whom and what a plan is about: scope, team, guests, the dishes as they are made and kept."""

from __future__ import annotations

from collections.abc import Sequence

from haccp.limits import Ruleset
from haccp.materials import material, media
from kitchen.base.moments import local
from kitchen.ledger.models import standing
from kitchen.methods.models import Method
from kitchen.methods.words import SHAPES
from kitchen.papers.wordings import Wordings, counted, length
from kitchen.people.models import Person, Role, Site
from kitchen.plan.drawing import span
from kitchen.plan.families import Family
from kitchen.plan.models import Competence
from kitchen.plan.parts import Item, figure, item, joined

PARTS = {
    Role.HEAD_CHEF: "leads the team; writes and signs the methods and this plan; decides at the Pass and "
    "signs batches; sees to training",
    Role.COOK: "receives, prepares, seals, cooks, chills, stores and serves; takes and enters the "
    "readings; tells the head chef of every deviation",
}


def scope(site: Site, found: Sequence[Family]) -> list[str]:
    """What the plan covers and what not, in sentences."""
    methods = [each for family in found for each in family.methods]
    said = [
        f"From delivery to serving: food cooked in sealed bags in water baths at {site.name}, "
        f"{counted(len(methods), 'dish', 'dishes')} in "
        f"{counted(len(found), 'dish family', 'dish families')}. "
        "Biological, chemical, physical and allergen hazards."
    ]
    if methods:
        words = Wordings(site)
        points = words.spread([float(each.set_point_c) for each in methods])
        thick = max(each.thickness_max_mm for each in methods)
        life = max(each.life_days for each in methods)
        said.append(
            f"Set points {points}; bags up to {length(thick)} thick; kept chilled up to "
            f"{counted(life, 'day')}."
        )
    said.append(
        "Not covered: dishes without a signed method; bags cooked from frozen, floating, overlapping or half "
        "sunk; sealed bags that are sold, or leave this kitchen before they are opened."
    )
    return said


def guests(found: Sequence[Family]) -> list[str]:
    """For whom the dishes are meant, as the methods say."""
    strict = [each.dish.name for family in found for each in family.methods if _vulnerable(family)]
    said = ["Served in this kitchen to guests who eat at once; nobody opens a bag but the kitchen."]
    if strict:
        said.append(
            f"Also for guests who fall ill more easily (the very young, the old, the pregnant, the ill): "
            f"{joined(strict)}. The strictest limits apply to them."
        )
    if any(not _vulnerable(family) for family in found):
        said.append(
            ("All other dishes are" if strict else "No method is")
            + (" not" if strict else "")
            + " written for guests who fall ill more easily. Before such a guest is served one of these, its "
            "method is to say so, so that the limits for them come into force."
        )
    with_allergens = [each for family in found for each in family.methods if each.allergens]
    said.append(
        "Guests with allergies: "
        + (
            "; ".join(f"{each.dish.name} ({each.allergens})" for each in with_allergens)
            + ". The other methods declare none."
            if with_allergens
            else "no method declares an allergen."
        )
    )
    return said


def _vulnerable(family: Family) -> bool:
    return "vulnerable diners" in family.words


def team(site: Site) -> list[Item]:
    """The people who work by the plan, by their staff codes: names stand outside the chain."""
    people = Person.objects.filter(site=site, is_active=True).order_by("code")
    shown: dict[int, str] = {}
    for each in standing(Competence.objects.filter(person__in=people)).order_by("at", "pk"):
        shown[each.person_id] = each.words
    return [
        item(
            each.code,
            each.code,
            [
                ("Role", each.role),
                ("Part in the plan", PARTS[Role(each.role)]),
                ("Competence", shown.get(each.pk, "")),
            ],
        )
        for each in sorted(people, key=lambda who: (who.role != Role.HEAD_CHEF, who.code))
    ]


def dish(method: Method, family: Family, rules: Ruleset) -> Item:
    """One dish as it is made, packed, kept and served."""
    site = method.dish.site
    words = Wordings(site)
    state = "draft, not signed"
    if method.signed:
        day = local(method.signed.recorded_at, site.timezone).date()
        state = f"signed {words.day(day)}, entry no. {method.signed.seq}"
    brine = ""
    if method.brine_percent:
        brine = f"{float(method.brine_percent):g} % w/w for {span(method.brine_min or 0)}, rinsed, dried"
    chill = media()[method.chill_medium].name if method.chill_medium else "not chilled: served at once"
    tolerance = length(method.thickness_tolerance_mm)
    kept = [row for row in rules.limits("chill_store", family.all_words) if row.tier == "keep"] or [
        row for row in rules.limits("chill_store", family.all_words) if row.quantity == "food_temperature"
    ]
    store = "; ".join(f"{figure(row)} [{row.id}]" for row in kept if row.tier != "destroy")
    return item(
        method.dish.name,
        method.dish.name,
        [
            ("Method", f"version {method.version}, {state}"),
            ("Food", material(method.material).name),
            ("What is true of it", joined(sorted(method.attributes))),
            ("Composition, preparation", method.preparation),
            ("Brine", brine),
            (
                "Treatment",
                f"bath at {words.temperature(method.set_point_c)} for {span(method.bath_min)}; "
                f"{length(method.thickness_mm)}, at most {length(method.thickness_max_mm)} (± {tolerance}); "
                f"food at most {words.temperature(method.start_max_c)} when it goes in",
            ),
            ("Packaging", f"sealed bag, air drawn off, one layer; {SHAPES[method.shape].split(':')[0]}"),
            ("Chill", chill),
            ("Storage", store if method.life_days else "none: served at once"),
            ("Life", counted(method.life_days, "day") if method.life_days else "none: served at once"),
            ("Second cook, serving", method.finish),
            ("Allergens", method.allergens or "none declared"),
            ("Barriers to growth", "heat, cold and time; acid, dryness and salt are not counted on"),
        ],
    )
