"""Published properties, surface coefficients and cooling limits, and anchors of conduction, row by row.

Sources stand in each row of tests/data/choi_okos.csv, heat_transfer.csv and cooling_limits.csv; anchors
are own computations by another code, as each test says.
"""

import numpy as np
import pytest

from haccp.conduction import Body, Exposure, Shape, core_curve
from haccp.datafiles import load
from haccp.eigenmodes import modes
from haccp.lethality import cumulative_lethal_minutes
from haccp.limits import all_limits
from haccp.materials import medium
from tests.haccp.tables import rows

NAMES = {"carb": "carbohydrate"}
SECTIONS = {
    "thermal conductivity": ("conductivity", 1.0),
    "density": ("density", 1.0),
    "specific heat": ("specific_heat", 1000.0),
    "thermal diffusivity": ("diffusivity", 1e-6),
}


@pytest.mark.parametrize(
    "row", rows("choi_okos.csv"), ids=lambda row: f"{row['component']} {row['property']}"
)
def test_coefficients_of_the_components_of_food(row):
    section, scale = SECTIONS[row["property"]]
    ours = load("composition")[section][NAMES.get(row["component"], row["component"])]
    assert ours == pytest.approx([float(row[each] or 0) * scale for each in "abc"], rel=1e-12)


# Rows of media that bags of ours lie in; what is not here is named in README.md beside this file.
MEDIA = {
    "circulated bath": "stirred_bath",
    "range reported for good baths": "stirred_bath",
    "natural convection": "still_bath",
    "bagged cooked meat": "ice_slurry",
    "packed meat, stirred slurry": "ice_slurry",
    "natural convection + radiation": "fridge_air",
    "chill room air": "fridge_air",
    "3-5 m/s, packed trays or bags": "blast_chiller",
}


@pytest.mark.parametrize("condition", [each for each in MEDIA if each != "chill room air"])
def test_surface_coefficients_lie_in_the_range_of_their_medium(condition):
    [row] = rows("heat_transfer.csv", condition=condition)
    ours = medium(MEDIA[condition]).heat_transfer
    for value in (row["h"], row["h_low"], row["h_high"]):
        assert not value or ours.low <= float(value) <= ours.high


def test_a_measured_ham_and_a_measured_roast_lie_in_their_ranges():
    """Chill room 5.1 and 9.1 (Ryland et al., 2006, page seen); a packed roast in water 50 to 100 and a bare
    slab in air 20 to 55 are own fits to measured times."""
    air, water = medium("fridge_air").heat_transfer, medium("running_water").heat_transfer
    for row in rows("heat_transfer.csv", medium="chill room air"):
        assert air.low <= float(row["h"]) <= air.high
    [roast] = rows("heat_transfer.csv", medium="water immersion 1 C")
    assert water.low <= float(roast["h_low"]) <= float(roast["h_high"]) <= water.high
    [slab] = rows("heat_transfer.csv", medium="water 0 C")
    assert water.low <= float(slab["h_low"]) <= float(slab["h_high"]) <= water.high
    for row in rows("heat_transfer.csv", medium="air 0 C 1.2 m/s"):
        assert float(row["h_low"]) >= medium("blast_chiller").heat_transfer.low


def test_trapped_air_and_the_film_in_series():
    """k over thickness (own computation): 1 mm of air is 26 and leaves 20 of a bath's least; a film 4400."""
    low = medium("stirred_bath").heat_transfer.low
    [air], [film] = (rows("heat_transfer.csv", medium=each) for each in ("trapped air gap", "pouch film"))
    assert 1.0 / (1.0 / low + 1.0 / float(air["h"])) == pytest.approx(20.0, abs=0.5)
    assert 1.0 / (1.0 / low + 1.0 / float(film["h"])) == pytest.approx(low, rel=0.03)


HIGH_PRECISION = {
    0.1: (0.311053, 1.016094, 0.441682, 1.024579, 0.542281, 1.029798),
    0.5: (0.653271, 1.070128, 0.940771, 1.114255, 1.165561, 1.144106),
    1.0: (0.860334, 1.119132, 1.255784, 1.207092, 1.570796, 1.273240),
    2.0: (1.076874, 1.178456, 1.599449, 1.338377, 2.028758, 1.479319),
    4.0: (1.264592, 1.228708, 1.908079, 1.469796, 2.455644, 1.720172),
    5.0: (1.313838, 1.240249, 1.989815, 1.502869, 2.570432, 1.787001),
    10.0: (1.428870, 1.261963, 2.179497, 1.567692, 2.836300, 1.924909),
    20.0: (1.496129, 1.269916, 2.288048, 1.591944, 2.985724, 1.978138),
    50.0: (1.540006, 1.272652, 2.357242, 1.600221, 3.078842, 1.996221),
    100.0: (1.555245, 1.273088, 2.380902, 1.601524, 3.110187, 1.999033),
    1e9: (1.570796, 1.273240, 2.404826, 1.601975, 3.141593, 2.000000),
}


@pytest.mark.parametrize("biot", HIGH_PRECISION)
def test_first_root_and_amplitude_to_six_places(biot):
    """Own computation with scipy's root finder; 1e9 stands for no resistance at the surface."""
    firsts = [modes(beta, biot, 1) for beta in (0.0, 1.0, 2.0)]
    found = [value for one in firsts for value in (one.roots[0], one.core[0])]
    assert found == pytest.approx(HIGH_PRECISION[biot], abs=1.01e-6)


@pytest.mark.parametrize(
    ("shape", "mm", "at_hours", "two_minutes_at"),
    [
        ("slab", 25, (0.29608, 2.58613, 5.34985, 8.13403), 106.87),
        ("slab", 40, (0.00505, 0.48834, 2.33235, 4.88560), 171.28),
        ("cylinder", 40, (0.30863, 2.67083, 5.44258, 8.22718), 105.13),
        ("sphere", 40, (0.98600, 3.73812, 6.52299, 9.30795), 82.48),
    ],
)
def test_lethality_of_the_finite_volume_anchors(shape, mm, at_hours, two_minutes_at):
    """Own finite volumes (a 1.11e-7, k 0.48, h 95, 5 °C into 60 °C), z 7.5 at 70 °C; within 1 %."""
    at = np.arange(0.0, 14401.0, 10.0)
    body = Body(Shape(shape), (mm / 2000.0,), 1.11e-7, 0.48)
    core = core_curve(body, [Exposure([0.0, at[-1]], [60.0, 60.0], 95.0)], 5.0, at).core_c
    earned = cumulative_lethal_minutes(at, core, reference_c=70.0, z_c=7.5)
    assert earned[[360, 720, 1080, 1440]] == pytest.approx(at_hours, rel=0.01)
    assert np.interp(2.0, earned, at) / 60.0 == pytest.approx(two_minutes_at, rel=0.01)


# Which row of ours prints which gathered limit: id, minutes after its start, and where it ends [°C].
COOLING = {
    "FDA_COOL_1": ("USFDA-COOL-A-1", 70.0),
    "FDA_COOL_2": ("USFDA-COOL-A-2", 41.0),
}


@pytest.mark.parametrize("key", COOLING)
def test_cooling_limits_that_are_in_force(key):
    [row] = rows("cooling_limits.csv", id=key)
    ours, end_f = COOLING[key]
    limit = next(each for each in all_limits() if each.id == ours)
    assert limit.amount.seconds == 60.0 * float(row["minutes"])
    assert limit.end is not None
    assert limit.start is not None
    assert (float(limit.end.value), limit.end.unit) == (end_f, "degF")
    assert limit.end.celsius == pytest.approx(float(row["to_c"]), abs=0.5)
    assert limit.start.celsius == pytest.approx(float(row["from_c"]), abs=0.5)


def test_other_cooling_limits_that_are_in_force():
    """UK cook-chill: 3 °C within 90 min, begun within 30; storage at 8 °C."""
    limits = {each.id: each for each in all_limits()}
    [tray] = rows("cooling_limits.csv", id="UK_DH89_40")
    assert limits["UK-CCH-COOL-1"].amount.seconds == 60.0 * float(tray["minutes"])
    assert limits["UK-CCH-COOL-1"].end.celsius == float(tray["to_c"])
    assert limits["UK-CCH-COOL-0"].amount.seconds == 1800.0
    [fridge] = rows("cooling_limits.csv", id="UK_CHILL")
    assert limits["UK-CHILL-8"].amount.celsius == float(fridge["to_c"])
