"""Salt going into meat: the series against a table, another solver, short times and published figures.

Diffusivities as gathered, with their sources: tests/data/brine.csv, kind "diffusion". The table of Fo was
made apart from this library, from the series of Crank, The Mathematics of Diffusion.
"""

import math

import numpy as np
import pytest
from scipy import integrate

from haccp.conduction import Shape
from haccp.eigenmodes import modes
from haccp.errors import BodyError, DataError, RangeError
from haccp.uptake import (
    STAGES,
    Place,
    brine_ratio,
    days_to,
    diffusivities,
    diffusivity,
    fourier_for,
    fractions,
    timetable,
    uptake,
    water_phase_percent,
)
from tests.haccp.tables import rows

SHAPES = (Shape.SLAB, Shape.CYLINDER, Shape.SPHERE)
# E, slab, cylinder, sphere (mean), slab (centre).
TABLE = [
    (0.25, 0.04909, 0.01369, 0.00631, 0.21245),
    (0.50, 0.19673, 0.06306, 0.03055, 0.37875),
    (0.75, 0.47673, 0.17639, 0.09170, 0.65975),
    (0.90, 0.84809, 0.33441, 0.18299, 1.03110),
    (0.95, 1.12901, 0.45426, 0.25312, 1.31203),
    (0.99, 1.78129, 0.73256, 0.41617, 1.96431),
]


@pytest.mark.parametrize("row", TABLE, ids=lambda row: f"{row[0]:g}")
def test_fourier_numbers_of_a_large_brine(row):
    part, *means, centre = row
    for shape, expected in zip(SHAPES, means, strict=True):
        assert fourier_for(shape, part) == pytest.approx(expected, abs=6e-6)
    assert fourier_for(Shape.SLAB, part, Place.CENTRE) == pytest.approx(centre, abs=6e-6)


@pytest.mark.parametrize("shape", SHAPES)
def test_it_is_heat_conduction_with_an_infinite_biot_number(shape):
    """The modes of the heat side at Bi = 1e5: what is left of a resistance is 1/Bi."""
    beta = shape.directions[0]
    heat = modes(beta, 1e5, 40)
    for fourier in (0.02, 0.1, 0.6):
        decay = np.exp(-(heat.roots**2) * fourier)
        taken = fractions(shape, fourier)
        assert taken.centre == pytest.approx(1 - decay @ heat.core, abs=1e-4)
        by_heat = decay @ (heat.surface * (1 + beta) * 1e5 / heat.roots**2)
        assert taken.mean == pytest.approx(1 - by_heat, abs=1e-4)


def by_lines(beta: float, ratio: float, fourier: float, cells: int = 400) -> tuple[float, float]:
    """Mean and centre [-] by finite volumes and a stiff solver, the brine as one more unknown."""
    edges = np.linspace(0, 1, cells + 1)
    volumes = np.diff(edges ** (beta + 1)) / (beta + 1)
    areas = edges**beta

    def change(_, state):
        inside, brine = state[:-1], state[-1]
        flow = areas * np.concatenate([[0], np.diff(inside) * cells, [(brine - inside[-1]) * 2 * cells]])
        return np.append(np.diff(flow) / volumes, -flow[-1] * (beta + 1) / ratio)

    # Near the diagonal, and the brine beside the last cell: a banded Jacobian.
    start = np.append(np.zeros(cells), (1 + ratio) / ratio)
    found = integrate.solve_ivp(
        change, (0, fourier), start, method="LSODA", rtol=1e-9, atol=1e-11, lband=1, uband=1
    ).y[:, -1]
    return float(found[:-1] @ volumes * (beta + 1)), float(found[0])


@pytest.mark.parametrize("shape", SHAPES)
@pytest.mark.parametrize(("ratio", "fourier"), [(0.2, 0.02), (1.0, 0.1), (1.39, 0.3), (10.0, 0.05)])
def test_a_small_brine_against_finite_volumes(shape, ratio, fourier):
    """Own finite-volume code, 400 cells: error of its own about 1/cells²."""
    taken = fractions(shape, fourier, ratio)
    mean, centre = by_lines(shape.directions[0], ratio, fourier)
    assert taken.mean == pytest.approx(mean, abs=3e-5)
    assert taken.centre == pytest.approx(centre, abs=2e-4)


@pytest.mark.parametrize(("shape", "d"), [*zip(SHAPES, (1, 2, 3), strict=True)])
@pytest.mark.parametrize("ratio", [0.05, 1.0, 1.39, 40.0, math.inf])
def test_at_first_it_goes_with_the_root_of_time(shape, d, ratio):
    """A half-space: E = 2 d √(Fo/π) (1 + 1/alpha) to first order, whatever the shape (textbook limit)."""
    for fourier in (1e-9, 1e-7, 1e-6):
        first = 2 * d * math.sqrt(fourier / math.pi) * (1 + 1 / ratio)
        # The next term is of order Fo (1 + d/alpha)²; at alpha 0.05 it is no longer small.
        taken = float(fractions(shape, fourier, ratio).mean)
        assert taken == pytest.approx(first, rel=0.002 * (1 + d / ratio), abs=1e-9)


@pytest.mark.parametrize("shape", SHAPES)
@pytest.mark.parametrize("ratio", [0.01, 0.1, 1.39, 1e4, 1e6, math.inf])
def test_the_first_moments_join_the_series(shape, ratio):
    """Two forms, one on either side of Fo 1e-6; the flat one is right to a thousandth (own computation)."""
    before, after = (float(fractions(shape, fourier, ratio).mean) for fourier in (1e-6 * (1 - 1e-6), 1e-6))
    assert before == pytest.approx(after, rel=0.001)


@pytest.mark.parametrize("shape", SHAPES)
@pytest.mark.parametrize("ratio", [0.01, 0.1])
def test_first_moments_of_a_very_small_brine_against_finite_volumes(shape, ratio):
    """The brine gives up much of its salt at once. Fo 1e-4 needs fine cells: 4000."""
    mean, _ = by_lines(shape.directions[0], ratio, 1e-4, cells=4000)
    assert fractions(shape, 1e-4, ratio).mean == pytest.approx(mean, abs=2e-5)


@pytest.mark.parametrize("shape", SHAPES)
def test_a_large_finite_brine_is_an_infinite_one_and_a_small_one_is_sooner_done(shape):
    for place in Place:
        large = fourier_for(shape, 0.9, place)
        assert fourier_for(shape, 0.9, place, 1e7) == pytest.approx(large, rel=1e-6)
        ladder = [fourier_for(shape, 0.9, place, ratio) for ratio in (0.1, 1, 10, 100)]
        assert ladder == sorted(ladder)
        assert ladder[-1] < large


@pytest.mark.parametrize("shape", SHAPES)
@pytest.mark.parametrize("ratio", [0.3, math.inf])
def test_the_centre_lags_the_mean_and_both_rise_from_none_to_all(shape, ratio):
    taken = fractions(shape, np.concatenate([[0], np.geomspace(1e-8, 5, 200)]), ratio)
    assert taken.mean[0] == taken.centre[0] == 0
    assert (np.diff(taken.mean) >= 0).all()
    assert (np.diff(taken.centre) >= -1e-9).all()
    assert (taken.centre <= taken.mean + 1e-9).all()
    assert taken.mean[-1] == pytest.approx(1, abs=1e-4)


DAYS = [
    (10, 1.29, 1.72, 1.57),
    (20, 5.17, 6.88, 6.28),
    (30, 11.6, 15.5, 14.1),
    (40, 20.7, 27.5, 25.1),
    (50, 32.3, 43.0, 39.3),
]


@pytest.mark.parametrize(("mm", "ninety", "ninety_five", "centre"), DAYS)
def test_days_of_pork_at_five_degrees(mm, ninety, ninety_five, centre):
    """Own computation with the D of the paper; printed to three figures."""
    pork = diffusivity("pork")
    assert days_to(Shape.SLAB, mm, 0.90, pork, 5).best == pytest.approx(ninety, rel=0.005)
    assert days_to(Shape.SLAB, mm, 0.95, pork, 5).best == pytest.approx(ninety_five, rel=0.005)
    assert days_to(Shape.SLAB, mm, 0.90, pork, 5, Place.CENTRE).best == pytest.approx(centre, rel=0.005)


@pytest.mark.parametrize(
    ("quantity", "key"),
    [
        ("NaCl in pork loin slices, brine 50-280 kg/m3", "pork"),
        ("NaCl in salmon/cod muscle 4-10 C", "fish"),
        ("NaCl in chicken breast 4 C", "poultry"),
        ("NaCl in fish fillet, flesh side", "fillet"),
        ("NaCl in skin + subcutaneous fat", "skin"),
        ("sodium nitrite in pork semimembranosus", "nitrite"),
    ],
)
def test_diffusivities_as_gathered(quantity, key):
    [row] = rows("brine.csv", kind="diffusion", quantity=quantity)
    ours = diffusivity(key)
    assert (ours.span.best, ours.at_c) == (float(row["value"]), float(row["x"]))
    assert ours.provenance == row["provenance"]


def test_the_span_of_the_literature_is_the_range_of_pork():
    [row] = rows("brine.csv", kind="diffusion", quantity="NaCl in pork, literature span 0-5 C")
    low, high = row["note"].removeprefix("typical span ").split(" to ")
    assert (diffusivity("pork").span.low, diffusivity("pork").span.high) == (float(low), float(high))
    assert diffusivity("pork").span_provenance == row["provenance"]


@pytest.mark.parametrize(
    ("quantity", "key"), [("NaCl in meat", "pork"), ("nitrite in pork", "nitrite")], ids=["salt", "nitrite"]
)
def test_activation_energies_as_gathered(quantity, key):
    [row] = rows("brine.csv", kind="diffusion", quantity=f"activation energy {quantity}")
    assert diffusivity(key).activation.best == float(row["value"])


def test_no_food_is_quicker_than_water():
    """CRC Handbook (from memory): infinite dilution, 25 °C. Pressure brining is above it and not used."""
    [row] = rows("brine.csv", kind="diffusion", quantity="NaCl in water 25 C")
    [pressed] = rows("brine.csv", kind="diffusion", quantity="NaCl in chicken breast, 150 MPa, 25 C")
    for each in diffusivities().values():
        assert each.at(each.to_c).high < float(row["value"]) < float(pressed["value"])


def test_warmth_as_the_paper_on_nitrite_has_it():
    """J. Food Engineering 149:188: 60.32 kJ/mol, a factor of 2.52 from 2 to 12 °C."""
    ours = diffusivity("nitrite")
    assert ours.at(12).best / ours.at(2).best == pytest.approx(2.52, abs=0.005)
    assert ours.at(2).best == ours.span.best
    # 2 to 12 °C of the paper, its upper value read as 1.02e-11.
    assert ours.at(12).best == pytest.approx(1.02e-11, rel=0.15)


@pytest.mark.parametrize("key", diffusivities())
def test_away_from_the_measured_temperature_the_range_widens(key):
    """Cooler is slower for each end; the ends move with the ends of the activation energy."""
    ours = diffusivity(key)
    for celsius in np.linspace(ours.from_c, ours.to_c, 7):
        there = ours.at(float(celsius))
        assert there.high / there.low >= ours.span.high / ours.span.low * (1 - 1e-12)
        assert (there.best <= ours.span.best) == (celsius <= ours.at_c)
    with pytest.raises(RangeError, match="outside"):
        ours.at(ours.to_c + 0.1)


def test_nitrite_is_not_timed_with_the_salt():
    salt, nitrite = (days_to(Shape.SLAB, 40, 0.9, diffusivity(key), 5) for key in ("pork", "nitrite"))
    assert nitrite.low > salt.high


def test_a_stay_is_a_range_and_a_timetable_is_its_inverse():
    pork = diffusivity("pork")
    found = uptake(Shape.CYLINDER, 60, 7 * 86400, pork, 3, 1.39)
    assert found.mean.low < found.mean.best < found.mean.high
    assert "rinse" in found.not_modelled
    times = timetable(Shape.CYLINDER, 60, pork, 3, 1.39)
    assert {each: tuple(parts) for each, parts in times.items()} == dict.fromkeys(Place, STAGES)
    for part, days in times[Place.CENTRE].items():
        back = uptake(Shape.CYLINDER, 60, days.best * 86400, pork, 3, 1.39)
        assert back.centre.best == pytest.approx(part, abs=1e-9)
        assert days.low < days.best < days.high


def test_an_hour_in_the_brine_seasons_the_outside():
    """10 mm deep nothing after an hour: √(D t) is about 1 mm (own computation)."""
    found = uptake(Shape.SLAB, 25, 3600, diffusivity("poultry"), 4)
    assert math.sqrt(diffusivity("poultry").at(4).best * 3600) == pytest.approx(0.00104, abs=1e-5)
    assert found.mean.best == pytest.approx(2 / math.sqrt(math.pi) * 1.04 / 12.5, abs=0.001)
    assert found.centre.high < 1e-6


def test_the_water_phase_ends_at_the_equilibrium_brine():
    """1000 g meat of 72 % water, 1000 g water, 40 g salt: 2.273 % (by hand)."""
    assert brine_ratio(1000, 1000, 72) == pytest.approx(1.389, abs=5e-4)
    assert water_phase_percent(1, 1000, 1000, 40, 72) == pytest.approx(2.273, abs=5e-4)
    assert water_phase_percent(0.5, 1000, 1000, 40, 72) == pytest.approx(100 * 20 / 1740)
    assert water_phase_percent(0, 1000, 1000, 40, 72) == 0


@pytest.mark.parametrize(
    ("call", "error"),
    [
        (lambda: fractions(Shape.SLAB, -0.1), RangeError),
        (lambda: fractions(Shape.SLAB, math.nan), RangeError),
        (lambda: fractions(Shape.SLAB, 0.1, 0), RangeError),
        (lambda: fractions(Shape.SLAB, 0.1, math.nan), RangeError),
        (lambda: fractions(Shape.BRICK, 0.1), BodyError),
        (lambda: fourier_for(Shape.SLAB, 1), RangeError),
        (lambda: fourier_for(Shape.SLAB, math.nan), RangeError),
        (lambda: uptake(Shape.SLAB, 0, 60, diffusivity("pork"), 5), BodyError),
        (lambda: uptake(Shape.SLAB, 2000, 60, diffusivity("pork"), 5), BodyError),
        (lambda: uptake(Shape.SLAB, 30, -1, diffusivity("pork"), 5), RangeError),
        (lambda: days_to(Shape.SLAB, 30, 0.9, diffusivity("pork"), math.nan), RangeError),
        (lambda: brine_ratio(0, 1000, 72), RangeError),
        (lambda: brine_ratio(1000, 1000, 100), RangeError),
        (lambda: water_phase_percent(1.1, 1000, 1000, 40, 72), RangeError),
        (lambda: diffusivity("yeti"), DataError),
    ],
)
def test_what_cannot_be_is_refused(call, error):
    with pytest.raises(error):
        call()
