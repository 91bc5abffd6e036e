"""The words by which a row of the law is chosen: one list for the data, the rules and the kitchen's forms.

A row of a limits file may use no other word than these in `applies`, `any_of`, `unless`, `topic`,
`quantity`, `clock`, `event`, `tier`, `medium`, `counts_from` and `second_is`; loading fails on one that
is not here, so that a slip of the pen never switches a limit off. To add a word, add a line with
its meaning.
"""

from __future__ import annotations

from typing import Final

# What may be true of a food or a step of its work: `applies`, `any_of`, `unless`.
ATTRIBUTES: Final = {
    # what it is
    "red meat": "meat of cattle, pigs, sheep, goats or horses",
    "poultry": "chicken, turkey, duck and other birds",
    "wild game": "game that was shot",
    "farmed game": "game that was reared",
    "fish": "fish and shellfish",
    "shellfish": "molluscs and crustaceans",
    "scombroid": "fish that forms histamine: tuna, mackerel, sardine and their like",
    "shell egg": "eggs in their shells",
    "egg": "eggs, shelled, beaten or pooled, and food made of them",
    "vegetable": "vegetables, fruit, pulses, grains",
    "raw kidney beans": "dried beans whose poison only boiling destroys",
    "offal": "inner organs",
    "liver": "liver",
    "pork": "meat of pigs or wild boar, which may carry Trichinella",
    "bacon": "bacon",
    "ham": "ham",
    "tongue": "tongue",
    # what was done to it
    "whole muscle": "one intact piece, nothing cut, pricked or pushed into it",
    "single piece": "one piece of intact meat or fish for one guest",
    "minced": "minced or chopped: what was outside is inside",
    "meat preparation": "raw meat seasoned, marinated or with something added",
    "tenderised": "pricked or cut by needles or blades",
    "injected": "brine or marinade pushed into it",
    "bound": "pieces joined with an enzyme: an outside lies inside",
    "rolled": "rolled: an outside lies inside",
    "folded": "folded: an outside lies inside",
    "larded": "fat drawn through it: an outside lies inside",
    "stuffed": "filled: the filling lies inside",
    "brined": "in brine, cure or marinade",
    "cured": "cured with nitrite or nitrate",
    "traditional cure": "cured by a method that the law names as traditional",
    "bought cured": "cured where an authority oversees it, and not opened since",
    "dry cured": "cured with dry salt, not in or with a brine",
    "smoked": "smoked",
    "sterilised": "heated until it keeps without chilling",
    "commercially processed": "ready to eat from a plant that an authority oversees, its pack intact",
    "not heated": "never heated",
    "raw": "not cooked yet",
    "seared steak": "intact beef steak, seared all over and served undercooked",
    "less than thoroughly cooked": "served raw or undercooked, on purpose",
    "non-continuous": "heated in part, chilled, and cooked through later",
    "ready to eat": "eaten without a further cook",
    "roast table": "a roast cooked or reheated by a table for whole roasts",
    "microwave": "heated in a microwave oven",
    "from ambient": "made of ingredients that were at room temperature",
    "received warm": "lawfully delivered warmer than it is kept",
    # how it came and how it is kept
    "chilled": "kept cold",
    "frozen": "kept frozen",
    "quick-frozen": "sold as quick-frozen",
    "frozen for parasites": "frozen so that parasites in it die",
    "parasite exempt": "of a kind, or from a farm, that the law frees from that freezing",
    "hot": "delivered hot",
    "sealed": "in a sealed bag with little oxygen",
    "sealed hot": "sealed after its cook, while hot",
    "bulk raw": "raw, in large sealed packs",
    "barrier": "sealed with a second barrier to growth: acid, dryness, cure or competing flora",
    "chill only": "sealed, with cold as the only barrier to growth",
    "cook-chill": "chilled after the cook and kept",
    "cook-freeze": "frozen after the cook and kept",
    "34 °F store": "kept at 34 °F by the rule for thirty days",
    "long life": "kept chilled more than ten days by heat alone",
    "hot hold": "kept hot until it is served",
    "time as control": "out of hot and cold holding for a written time, then thrown away",
    "served cold": "taken out of the cold to be served",
    "served hot": "taken out of the heat to be served",
    "shelf stable": "kept without chilling, because acid or dryness holds growth back",
    "packaged": "heated in its pack, or packed while hot, so that nothing comes in after",
    "labelled pasteurised": "sold under the word pasteurised",
    "thawing": "being thawed",
    "running water": "thawed in running water",
    "packed for sale": "packed where it is sold, before the guest orders it",
    "animal origin": "meat, fish, eggs, milk and what is made of them",
    # who eats it, and what stands around it
    "vulnerable diners": "served where the very young, the old, the pregnant or the ill eat",
    "fridge": "a refrigerator itself, not the food in it",
    "traced food": "on the list of foods that must be traced by lot code",
}

TOPICS: Final = {
    "receive": "delivery",
    "raw_hold": "raw food until its cook",
    "thaw": "thawing",
    "cure": "curing: nitrite, nitrate, binders",
    "cook": "the cook",
    "hot_hold": "kept hot",
    "cool": "the chill",
    "chill_store": "the cold store",
    "shelf_life": "days kept",
    "freeze": "frozen food",
    "parasite": "parasites",
    "reheat": "the second cook",
    "serve_ambient": "service at room temperature",
    "acidity": "acid, water activity and salt",
    "allergen": "allergens and what must be said on a label",
    "traceability": "where it came from",
    "probe_check": "checks of probes",
    "record_keeping": "records and how long they are kept",
}

# What is measured, and so which check can judge a row.
QUANTITIES: Final = {
    "core_hold": "`value` at the core for `hold`",
    "core_temperature": "`value` reached at the core",
    "surface_temperature": "`value` reached at the surface",
    "food_temperature": "the food at `value`",
    "air_temperature": "the air about it at `value`",
    "water_temperature": "the water about it at `value`",
    "bath_temperature": "the bath at `value`",
    "heating_time": "how long it is heated",
    "log_reduction": "how many tenfold steps of an organism are killed",
    "growth_log10": "how many tenfold steps of an organism grew",
    "log_increase": "how many tenfold steps of an organism grew in a chill",
    "elapsed_time": "a time from `clock` to `event`, or above, below or between `start` and `end`",
    "cool_stage": "a time from `start` or `clock` down to `end`",
    "cool_total": "the time of the whole chill down to `end`",
    "freeze_hold": "`value` or colder throughout for `hold`",
    "days": "days kept, counted from `counts_from`",
    "retention": "how long a record is kept",
    "interval": "how long between two checks",
    "checks_per_day": "how many checks a day",
    "reading": "what a probe reads in `medium`",
    "accuracy": "how far a probe may be off",
    "resolution": "the smallest step that a probe shows",
    "depth": "how deep the food lies",
    "pH": "acidity throughout",
    "water_activity": "water activity throughout",
    "salt_aqueous": "salt in the water of the food [% by mass]",
    "added_water": "water added [% by mass]",
    "sodium_nitrite_ingoing": "nitrite going in, as sodium nitrite",
    "sodium_nitrite_residual": "nitrite left in the product, as sodium nitrite",
    "sodium_nitrite_total": "nitrite in the product, all of it, as sodium nitrite",
    "sodium_nitrate_ingoing": "nitrate going in, as sodium nitrate",
    "sodium_nitrate_residual": "nitrate left in the product, as sodium nitrate",
    "nitrite_ion_ingoing": "nitrite going in, as the nitrite ion",
    "nitrite_ion_residual": "nitrite left in the product, as the nitrite ion",
    "factor": "what to multiply with to go from one way of weighing to another",
    "dose": "how much of an additive",
    "sulphur_dioxide": "sulphites, as sulphur dioxide: declared from here on",
    "sulphite": "sulphites: declared from here on",
    "histamine": "histamine in fish",
    "overall_migration": "what a bag may give off",
    "count": "how many there are",
    "fields": "how many things a record must say",
    "principles": "how many principles a procedure must rest on",
    "elements": "how many parts a procedure must have",
    "steps": "how many steps of a chain of supply are recorded",
    "age": "how old",
    "date": "the day from which something holds",
    "condition": "a duty in words",
    "action": "what is to be done, in words",
    "see_rule": "another row, by its id or the start of it",
}

# What starts the time of a row.
CLOCKS: Final = {
    "bath out": "the bag leaves the bath",
    "bath in": "the bag goes into the bath; it runs while the core is below `end`",
    "chill in": "the bag goes into the chill",
    "core": "the core was last at `start`",
    "come-up": "the core passes `start` on its way up",
    "made": "the food is made",
    "received": "the food is delivered",
    "sealing": "the bag is sealed",
    "store in": "the bag goes into the store",
    "store out": "the bag leaves the store",
    "second cook": "the second cook ends",
    "service": "the food leaves hot or cold holding for service",
    "thaw": "the thaw begins",
    "thawed": "the food is thawed through",
    "freezer in": "the food goes into the freezer",
    "record": "the record is made",
    "sold out": "the last of the lot is sold or served",
}

# What has to have happened when the time of a row is over.
EVENTS: Final = {
    "chill in": "the bag is in the chill",
    "store in": "the bag is in the store",
    "second cook": "the second cook begins",
    "served": "the food is served",
    "discarded": "the food is thrown away",
}

TIERS: Final = {
    "keep": "keep at this or colder",
    "eat within": "warmer: eat within the time",
    "destroy": "warmer still: destroy",
    "use now": "eat or cook at once, do not chill again",
    "chill again": "may go back into the cold",
}

MEDIA: Final = {
    "ice": "melting ice",
    "boiling": "boiling water, at sea level",
    "food": "a food thermometer, wherever it is checked",
    "ambient": "a thermometer of air or water",
    "bath": "the bath, or a thermometer of it",
}

# From what day a life counts.
COUNTS_FROM: Final = {
    "cooking": "the day of the cook",
    "sealing": "the day on which the bag was sealed",
    "freezing": "the day on which it was frozen",
    "slaughter": "the day of the slaughter",
    "leaving 34 °F": "the day on which it left a store at 34 °F",
}

# What the second figure of a row is.
SECONDS: Final = {
    "together with": "has to be met with the first, on the same side of it",
    "none over": "no single sample is over it",
    "in a sample of": "how much of the food is examined",
    "never warmer than": "the warmest part is never above it",
    "may rise briefly by": "how far it may rise for a short time on its way",
    "reached within": "the time in which the first has to be reached",
    "on site for": "how long the record stays where it was made",
}

VOCABULARY: Final = {
    "topic": TOPICS,
    "quantity": QUANTITIES,
    "clock": CLOCKS,
    "event": EVENTS,
    "tier": TIERS,
    "medium": MEDIA,
    "counts_from": COUNTS_FROM,
    "second_is": SECONDS,
}
