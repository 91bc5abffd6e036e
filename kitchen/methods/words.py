"""What the words of a method mean, for who fills in its form."""

ATTRIBUTES = {
    "whole muscle": "one intact piece of meat, nothing cut, pricked or pushed into it",
    "poultry": "chicken, turkey, duck and other birds; the limits for poultry apply",
    "fish": "fish and shellfish; the limits for fish apply",
    "vegetable": "vegetables, fruit, pulses",
    "minced": "minced or chopped: what was outside is now inside",
    "tenderised": "pricked or cut by needles or blades: what was outside is now inside",
    "injected": "brine or marinade pushed into it: what was outside is now inside",
    "bound": "pieces joined with transglutaminase: an outside lies in the core",
    "stuffed": "filled: the filling lies in the core",
    "rolled": "rolled or folded: an outside lies in the core",
    "vulnerable diners": "served where the very young, the old, the pregnant or the ill eat; "
    "the strictest limits apply",
    "cook-chill": "chilled after the cook and kept; the limits for chill, storage and days kept apply",
    "long life": "kept chilled more than ten days by heat alone; a far longer hold is needed",
}

SHAPES = {
    "slab": "slab: a flat piece, such as a breast or a steak",
    "cylinder": "cylinder: a long roll",
    "finite cylinder": "short cylinder: a roll about as long as it is thick",
    "brick": "brick: a block with three measures",
    "sphere": "sphere: a ball, an egg",
}
