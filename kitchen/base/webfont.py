"""The page's font, cut to what the pages need: the whole one weighs more than all else together.

Made from the font of the Python package when it is first asked for, about a second's work, and kept in
memory; a tablet keeps it with its other files. Papers embed the whole font by themselves.
"""

from __future__ import annotations

import io
from functools import lru_cache
from pathlib import Path

from django.conf import settings

FONT = "IBMPlexSans[wdth,wght].ttf"
# Latin with its accents for all languages of the Bench, Greek for formulas, punctuation, arrows, signs.
RANGES = (
    *((0x20, 0x7F), (0xA0, 0x180), (0x218, 0x21C), (0x391, 0x3CA), (0x2010, 0x2034), (0x2070, 0x208F)),
    *((0x20AC, 0x20AD), (0x2190, 0x2194), (0x2212, 0x2213), (0x221A, 0x221B), (0x2248, 0x2249)),
    *((0x2260, 0x2266), (0x2DA, 0x2DB)),
)
FEATURES = ["ccmp", "kern", "liga", "locl", "mark", "mkmk", "tnum"]


@lru_cache(maxsize=1)
def woff2() -> bytes:
    """The font of the pages as WOFF2: weights 400 to 700, one width, no hints."""
    from fontTools import subset
    from fontTools.ttLib import TTFont
    from fontTools.varLib import instancer

    font = TTFont(Path(settings.FONTS) / FONT)
    options = subset.Options(layout_features=FEATURES, hinting=False)
    cutter = subset.Subsetter(options)
    cutter.populate(unicodes=[sign for low, high in RANGES for sign in range(low, high)])
    cutter.subset(font)
    # The weights stay variable; the width is the one that the pages use.
    font = instancer.instantiateVariableFont(font, {"wdth": 100, "wght": (400, 700)})
    font.flavor = "woff2"
    made = io.BytesIO()
    font.save(made)
    return made.getvalue()
