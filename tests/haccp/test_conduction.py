"""haccp.conduction against series, textbook examples and closed forms."""

import numpy as np
import pytest
from scipy import special

from haccp.conduction import Body, Exposure, Shape, core_curve
from haccp.errors import BodyError, RangeError
from haccp.lethality import lethal_minutes
from haccp.response import Direction, steady_lag

# Body with R²/alpha = 1000 s, so that Fo = t/1000 s.
RADIUS, CONDUCTIVITY = 0.02, 0.5
DIFFUSIVITY = RADIUS**2 / 1000.0


def cooling(shape, half_sizes, alpha, k, h, at_s):
    """Theta of the centre and the surface: a body at 1 °C in a medium at 0 °C."""
    at_s = np.asarray(at_s, dtype=float)
    curve = core_curve(
        Body(shape, half_sizes, alpha, k), [Exposure([0.0, at_s[-1]], [0.0, 0.0], h)], 1.0, at_s
    )
    return curve.core_c, curve.surface_c


# Centre theta by the full series: own computation with scipy, 40-120 terms, cross-checked by finite volumes.
SERIES = {
    1: {
        0.05: (0.999751, 0.998898, 0.996869),
        0.1: (0.993108, 0.976817, 0.949305),
        0.2: (0.950642, 0.870174, 0.772312),
        0.5: (0.772526, 0.548586, 0.370777),
        1.0: (0.533859, 0.249380, 0.107977),
    },
    4: {
        0.05: (0.999189, 0.996456, 0.990071),
        0.1: (0.980131, 0.935168, 0.863009),
        0.2: (0.877858, 0.699088, 0.509863),
        0.5: (0.552178, 0.238035, 0.084358),
        1.0: (0.248272, 0.038556, 0.004137),
    },
    10: {
        0.05: (0.998530, 0.993672, 0.982564),
        0.1: (0.968424, 0.900080, 0.795759),
        0.2: (0.829255, 0.600232, 0.382664),
        0.5: (0.454641, 0.145800, 0.034478),
        1.0: (0.163818, 0.013560, 0.000618),
    },
}


@pytest.mark.parametrize("biot", SERIES)
@pytest.mark.parametrize("number", [0, 1, 2])
def test_centre_by_the_full_series(biot, number):
    shape = (Shape.SLAB, Shape.CYLINDER, Shape.SPHERE)[number]
    at_s = np.array(list(SERIES[biot])) * 1000.0
    core, _ = cooling(shape, (RADIUS,), DIFFUSIVITY, CONDUCTIVITY, biot * CONDUCTIVITY / RADIUS, at_s)
    assert core == pytest.approx([each[number] for each in SERIES[biot].values()], abs=1e-6)


def first_below(shape, half, alpha, k, h, share, last_s, surface=False):
    """When theta has come down to `share` [s]."""
    at_s = np.linspace(0.0, last_s, 4001)[1:]
    theta = cooling(shape, (half,), alpha, k, h, at_s)[int(surface)]
    return float(np.interp(-share, -theta, at_s))


def test_surface_of_steaks_in_cold_air():
    """Cengel, Introduction to Thermodynamics and Heat Transfer, 11-44 (page seen): 93.1 min, one term."""
    found = first_below(Shape.SLAB, 0.01, 0.91e-7, 0.45, 9.0, 13.0 / 36.0, 9000.0, surface=True)
    assert found / 60.0 == pytest.approx(93.1, rel=0.005)


@pytest.mark.parametrize(
    ("half", "alpha", "k", "h", "share", "minutes"),
    [
        # Cengel 4th ed. ch. 4, egg from 8 °C into 97 °C to 70 °C: printed answer 17.8 min (from memory).
        (0.0275, 0.14e-6, 0.6, 1400.0, 27.0 / 89.0, 17.8),
        # The same book, 4.3 °C into 100 °C to 74 °C: statement, Bi and theta seen; one term 18.4 min (own).
        (0.0275, 0.146e-6, 0.607, 800.0, 26.0 / 95.7, 18.4),
        # The same book, Example 4-3, 5 °C into 95 °C to 70 °C: 14.4 min (from memory).
        (0.025, 0.151e-6, 0.627, 1200.0, 25.0 / 90.0, 14.4),
    ],
)
def test_boiling_an_egg(half, alpha, k, h, share, minutes):
    assert first_below(Shape.SPHERE, half, alpha, k, h, share, 2400.0) / 60.0 == pytest.approx(
        minutes, rel=0.006
    )


def test_cooling_an_apple():
    """Singh and Heldman, Introduction to Food Engineering, Example 4.26 (statement seen); 1.049 h is own."""
    alpha = 0.355 / (820.0 * 3600.0)
    assert first_below(Shape.SPHERE, 0.03, alpha, 0.355, 50.0, 1.0 / 13.0, 7200.0) / 3600.0 == pytest.approx(
        1.049, rel=0.005
    )


def test_roast_as_a_sphere():
    """Kreith, Principles of Heat Transfer (statement seen): 1.5 kg, 20 to 77 °C in 163 °C; 2.213 h is own."""
    radius = (3.0 * 1.5 / (4.0 * np.pi * 1000.0)) ** (1.0 / 3.0)
    found = first_below(Shape.SPHERE, radius, 0.5 / 4e6, 0.5, 18.0, 86.0 / 143.0, 14400.0)
    assert found / 3600.0 == pytest.approx(2.213, rel=0.005)


def test_short_brass_cylinder():
    """Cengel, Example 4-7 (from memory): read from charts 63 °C after 15 min from 120 °C in air of 25 °C."""
    core, _ = cooling(Shape.FINITE_CYLINDER, (0.05, 0.06), 33.9e-6, 110.0, 60.0, [900.0])
    assert 25.0 + 95.0 * core[0] == pytest.approx(63.0, abs=1.0)


def test_surface_of_a_half_space_at_early_times():
    """exp(h²at/k²) erfc(h√(at)/k): Nellis and Klein, Table 3-2 (relation seen), at depth 0.

    A slab of 400 mm is a half-space for as long as its centre has not noticed.
    """
    h, k, alpha, at_s = 95.0, 0.48, 1.3e-7, np.array([10.0, 60.0, 600.0, 3600.0])
    reach = h * np.sqrt(alpha * at_s) / k
    _, surface = cooling(Shape.SLAB, (0.2,), alpha, k, h, at_s)
    assert surface == pytest.approx(special.erfcx(reach), abs=2e-6)


@pytest.mark.parametrize(
    ("shape", "half_sizes", "theta"),
    [
        # Own computation; two-dimensional axisymmetric finite elements agree to 4e-5.
        (Shape.FINITE_CYLINDER, (0.03, 0.04), (0.834945, 0.468830, 0.122507, 0.031111)),
        (Shape.BRICK, (0.03, 0.05, 0.02), (0.724554, 0.364624, 0.078475, 0.016109)),
    ],
)
def test_products(shape, half_sizes, theta):
    core, _ = cooling(shape, half_sizes, 1.3e-7, 0.48, 95.0, [900.0, 1800.0, 3600.0, 5400.0])
    assert core == pytest.approx(theta, abs=2e-6)


@pytest.mark.parametrize(
    ("beta", "lag"), [(0.0, 2315.79), (1.0, 1157.89), (2.0, 771.93)], ids=["slab", "cylinder", "sphere"]
)
def test_lag_behind_a_ramp(beta, lag):
    """Closed form (R²/a)(1/2n + 1/nBi); a finite-volume run gave 2315.83, 1157.91, 771.94 s."""
    shape = {0.0: Shape.SLAB, 1.0: Shape.CYLINDER, 2.0: Shape.SPHERE}[beta]
    assert steady_lag(Direction(beta, 0.02**2 / 1.3e-7, 95.0 * 0.02 / 0.48))[0] == pytest.approx(
        lag, abs=0.01
    )
    body = Body(shape, (0.02,), 1.3e-7, 0.48)
    end = 50_000.0
    curve = core_curve(body, [Exposure([0.0, end], [0.0, 50.0], 95.0)], 0.0)
    assert (50.0 - curve.core_c[-1]) * end / 50.0 == pytest.approx(lag, abs=0.02)


def test_step_of_the_bath():
    """60 °C for 30 min, then 55 °C; superposition (own), a finite-volume run agrees to 0.003 °C."""
    at = np.array([15.0, 30.0, 40.0, 60.0, 90.0, 120.0]) * 60.0
    body = Body(Shape.SLAB, (0.02,), 1.3e-7, 0.48)
    stays = [
        Exposure([0.0, 1800.0], [60.0, 60.0], 95.0),
        Exposure([1800.0, 7200.0], [55.0, 55.0], 95.0),
    ]
    found = core_curve(body, stays, 5.0, at).core_c
    assert found == pytest.approx([17.804, 33.402, 39.925, 46.943, 51.827, 53.751], abs=6e-4)


def test_centre_goes_on_heating_in_the_chill():
    """40 mm, 90 min at 60 °C, then water of 1 °C: 55.875 °C, F70 (z 7.5) 0.2132, then 0.3167 min (own)."""
    body = Body(Shape.SLAB, (0.02,), 1.3e-7, 0.48)
    stays = [Exposure([0.0, 5400.0], [60.0, 60.0], 95.0), Exposure([5400.0, 12000.0], [1.0, 1.0], 95.0)]
    curve = core_curve(body, stays, 5.0, np.arange(0.0, 12001.0, 20.0))
    cook = curve.times_s <= 5400.0
    assert curve.core_c[cook][-1] == pytest.approx(55.875, abs=1e-3)
    minutes = [
        lethal_minutes(curve.times_s[part], curve.core_c[part], reference_c=70.0, z_c=7.5)
        for part in (cook, np.ones_like(cook))
    ]
    # The second figure was summed from samples: 60 s apart gives 0.3164, 20 s 0.3168, 1 s 0.3169.
    assert minutes[0] == pytest.approx(0.2132, abs=1e-4)
    assert minutes[1] == pytest.approx(0.3167, rel=1e-3)


@pytest.mark.parametrize(
    ("shape", "mm", "at_10_20_30_60_90_120"),
    [
        ("slab", 25, (22.215, 38.248, 47.490, 57.621, 59.547, 59.914)),
        ("slab", 40, (9.532, 20.363, 29.527, 46.245, 53.793, 57.199)),
        ("cylinder", 40, (17.025, 35.889, 46.797, 57.841, 59.647, 59.942)),
        ("sphere", 40, (25.948, 47.212, 55.290, 59.765, 59.988, 59.999)),
    ],
)
def test_finite_volume_anchors(shape, mm, at_10_20_30_60_90_120):
    """Own finite-volume code (a 1.11e-7, k 0.48, h 95, 5 °C into 60 °C); 0.05 °C is its stated tolerance."""
    at = np.array([10.0, 20.0, 30.0, 60.0, 90.0, 120.0]) * 60.0
    body = Body(Shape(shape), (mm / 2000.0,), 1.11e-7, 0.48)
    found = core_curve(body, [Exposure([0.0, 7200.0], [60.0, 60.0], 95.0)], 5.0, at).core_c
    assert found == pytest.approx(at_10_20_30_60_90_120, abs=0.05)


def slab(**changes):
    facts = {
        "shape": Shape.SLAB,
        "half_sizes_m": (0.0125,),
        "diffusivity_m2_s": 1.3e-7,
        "conductivity_w_mk": 0.48,
    }
    return Body(**(facts | changes))


@pytest.mark.parametrize(
    "changes",
    [
        {"half_sizes_m": (0.0,)},
        {"half_sizes_m": (1.0,)},
        {"half_sizes_m": (float("nan"),)},
        {"half_sizes_m": (-0.01,)},
        {"half_sizes_m": (0.25,)},
        {"half_sizes_m": (0.01, 0.02)},
        {"diffusivity_m2_s": 0.0},
        {"diffusivity_m2_s": float("inf")},
        {"conductivity_w_mk": -0.5},
    ],
    ids=str,
)
def test_a_body_that_can_not_be(changes):
    with pytest.raises(BodyError):
        slab(**changes)


@pytest.mark.parametrize(
    ("times", "medium", "h"),
    [
        ([0.0, 60.0], [60.0, float("nan")], 95.0),
        ([0.0, float("nan")], [60.0, 60.0], 95.0),
        ([0.0, float("inf")], [60.0, 60.0], 95.0),
        ([60.0, 0.0], [60.0, 60.0], 95.0),
        ([0.0, 60.0, 60.0], [60.0, 60.0, 61.0], 95.0),
        ([0.0], [60.0], 95.0),
        ([0.0, 60.0], [60.0], 95.0),
        ([0.0, 60.0], [60.0, 140.0], 95.0),
        ([0.0, 60.0], [60.0, -80.0], 95.0),
        ([0.0, 60.0], [60.0, 60.0], 0.0),
        ([0.0, 60.0], [60.0, 60.0], float("nan")),
    ],
)
def test_a_medium_that_can_not_be(times, medium, h):
    with pytest.raises(RangeError):
        Exposure(times, medium, h)


def test_stays_that_do_not_join():
    bath = Exposure([0.0, 600.0], [60.0, 60.0], 95.0)
    with pytest.raises(RangeError, match="join"):
        core_curve(slab(), [bath, Exposure([900.0, 1200.0], [1.0, 1.0], 95.0)], 5.0)
    with pytest.raises(RangeError, match="at least one"):
        core_curve(slab(), [], 5.0)


@pytest.mark.parametrize("start", [float("nan"), 400.0, -100.0])
def test_a_start_that_can_not_be(start):
    with pytest.raises(RangeError):
        core_curve(slab(), [Exposure([0.0, 600.0], [60.0, 60.0], 95.0)], start)


@pytest.mark.parametrize("wanted", [[-1.0], [700.0], [10.0, 10.0], [float("nan")], []])
def test_moments_that_can_not_be(wanted):
    with pytest.raises(RangeError):
        core_curve(slab(), [Exposure([0.0, 600.0], [60.0, 60.0], 95.0)], 5.0, np.array(wanted))
