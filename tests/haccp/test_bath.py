"""haccp.bath against measured heating, the first law, closed forms and a method-of-lines solution."""

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from haccp.bath import Bath, Load, fitted, heat_up, largest_load, run_load, vapour_pressure_pa
from haccp.conduction import Body, Shape
from haccp.errors import BodyError, HaccpError, RangeError
from haccp.probes import saturation_c
from tests.haccp.tables import rows

SLAB = Body(Shape.SLAB, (0.0125,), 1.3e-7, 0.48)
LABEL = Bath.of(28.0, 2000.0, wall_m2=0.6)
BAGS = Load(SLAB, 8.0, 3500.0, 4.0, 155.0)
ROOM_C = 24.0  # Of the measured runs: the temperature from which they start, less a degree; not printed.


def runs():
    """Measured runs by name: moments [s] and water [°C]."""
    table = rows("water_1l_heating.csv")
    found = {}
    for name in table[0]:
        kept = [row for row in table if name != "elapsed_s" and row[name]]
        if kept:
            found[name] = tuple(np.array([float(row[each]) for row in kept]) for each in ("elapsed_s", name))
    assert len(found) == 15
    return found


@pytest.mark.parametrize("name", ["200W_a_c", "200W_b_c", "200W_c_c"])
def test_one_measured_run_predicts_the_other_fourteen(name):
    """Water in a pot, 50 to 250 W: within 2.5 °C up to 80 °C, fitted up to 90 °C on one run at 200 W.
    Repeats of one power differ among themselves by up to 2 °C."""
    measured = runs()
    times, water = measured.pop(name)
    bath = fitted(times[water < 90.0], water[water < 90.0], 200.0, room_c=ROOM_C)
    assert bath.capacity_j_k > 4000.0
    for other, (at, celsius) in measured.items():
        at, celsius = at[celsius <= 80.0], celsius[celsius <= 80.0]
        predicted = heat_up(bath, celsius[0], at, float(other.split("W")[0]))
        assert np.abs(predicted - celsius).max() < 2.5, other
    # The loss matters: without it the slow run would be far too hot.
    at, celsius = measured["50W_a_c"]
    kept = celsius <= 80.0
    assert celsius[0] + 50.0 * at[kept][-1] / bath.capacity_j_k > 80.0 + 10.0


def test_heating_with_a_plain_loss_is_an_exponential():
    bath = Bath(100_000.0, 500.0, 10.0, 0.0, 20.0)
    times = np.linspace(0.0, 20_000.0, 41)
    end, tau = 20.0 + 500.0 / 10.0, 10_000.0
    assert heat_up(bath, 20.0, times) == pytest.approx(end + (20.0 - end) * np.exp(-times / tau), abs=1e-3)
    found = fitted(times, heat_up(bath, 20.0, times), 500.0, lidded=True, room_c=20.0)
    assert (found.capacity_j_k, found.wall_w_k) == (
        pytest.approx(100_000.0, rel=1e-3),
        pytest.approx(10.0, rel=1e-2),
    )


def test_vapour_pressure():
    """Steam tables (from memory): 611.7 Pa at 0.01 °C, 2,339 at 20, 19,946 at 60, 47,414 at 80."""
    for celsius, pascal in ((0.01, 611.7), (20.0, 2339.0), (60.0, 19946.0), (80.0, 47414.0)):
        assert vapour_pressure_pa(celsius) == pytest.approx(pascal, rel=5e-4)
    for celsius in np.arange(5.0, 96.0, 10.0):
        assert saturation_c(vapour_pressure_pa(celsius)) == pytest.approx(celsius, abs=1e-3)


def test_evaporation_outweighs_convection_from_hot_open_water():
    """At 60 °C in a room of 22 °C, half humid: (19,946 − 1,322)/66 over 38 K makes 7.43 times (by hand)."""
    convection, whole = 8.0 * 38.0, Bath(1e5, 0.0, 0.0, 8.0, 22.0).loss_w(60.0)
    assert (whole - convection) / convection == pytest.approx(7.43, abs=0.01)
    assert Bath(1e5, 0.0, 0.0, 8.0, 22.0).loss_w(5.0) == 8.0 * -17.0


@pytest.mark.parametrize("shape", [Shape.SLAB, Shape.CYLINDER, Shape.SPHERE, Shape.BRICK])
def test_bags_and_water_end_where_the_first_law_says(shape):
    """No heater, no loss: the mean by heat capacity, as in any calorimeter."""
    body = Body(shape, (0.012, 0.02, 0.03)[: len(shape.directions)], 1.3e-7, 0.48)
    dead = Bath(80_000.0, 0.0, 0.0, 0.0)
    run = run_load(dead, Load(body, 6.0, 3500.0, 4.0, 120.0), 60.0, 600.0)
    end = (80_000.0 * 60.0 + 21_000.0 * 4.0) / 101_000.0
    assert run.water_c[-1] == pytest.approx(end, abs=1e-3)
    assert run.mean_c[-1] == pytest.approx(end, abs=1e-3)
    # Energy at every moment, not only at the end.
    heat = 80_000.0 * run.water_c + 21_000.0 * run.mean_c
    assert heat == pytest.approx(np.full(heat.size, 80_000.0 * 60.0 + 21_000.0 * 4.0), rel=1e-9)
    assert run.back_at_s(1.0) is None


@pytest.mark.parametrize(("heater_w", "mass_kg"), [(2000.0, 8.0), (600.0, 8.0), (2000.0, 25.0)])
def test_against_a_method_of_lines_solution(heater_w, mass_kg):
    """Slab of 60 cells coupled to the water, scipy's solve_ivp; the thermostat stops at the set point."""
    bath = Bath(110_000.0, heater_w, 2.0, 0.05, 22.0)
    load = Load(SLAB, mass_kg, 3500.0, 4.0, 155.0)
    run = run_load(bath, load, 60.0, 120.0)
    cells, half, k, alpha = 60, 0.0125, 0.48, 1.3e-7
    width = half / cells
    heat_a_m2 = k / alpha * half
    area = mass_kg * 3500.0 / heat_a_m2

    def slope(_at, state):
        water, food = state[0], state[1:]
        into = (water - food[-1]) / (1.0 / 155.0 + 0.5 * width / k)
        flux = np.concatenate([[0.0], k * np.diff(food) / width, [into]])
        need = bath.loss_w(min(max(water, 0.0), 95.0)) + area * into
        # All it has, and near the set point so much as holds it.
        given = min(heater_w, max(0.0, need + 20_000.0 * (60.0 - water)))
        return [(given - need) / 110_000.0, *(np.diff(flux) / (width * k / alpha))]

    solved = solve_ivp(
        slope, (0.0, 7200.0), [60.0, *[4.0] * cells], "LSODA", run.times_s[::12], rtol=1e-7, atol=1e-6
    )
    assert np.abs(solved.y[0] - run.water_c[::12]).max() < 0.02
    assert np.abs(solved.y[1:].mean(axis=0) - run.mean_c[::12]).max() < 0.02
    assert solved.y[1, -1] == pytest.approx(run.core_c()[-1], abs=0.05)


def test_pull_and_recovery():
    run = run_load(LABEL, BAGS, 60.0, 120.0)
    assert 0.3 < run.pull_k < 2.0
    assert run.water_c.max() <= 60.0
    back = run.back_at_s(0.25)
    assert run.lowest_at_s < back < 3600.0
    assert run.water_c[run.times_s >= back].min() >= 59.75
    assert run_load(LABEL, Load(SLAB, 0.0, 3500.0, 4.0, 155.0), 60.0, 30.0).pull_k == pytest.approx(
        0.0, abs=1e-9
    )
    weak = run_load(Bath.of(28.0, 500.0, wall_m2=0.6), BAGS, 60.0, 120.0)
    assert weak.pull_k > 3.0 * run.pull_k
    assert weak.core_c([1800.0, 3600.0])[0] < run.core_c([1800.0, 3600.0])[0]


def test_the_largest_load_keeps_its_requirement_and_a_larger_one_does_not():
    def in_band(run):
        return run.pull_k <= 1.0

    most = largest_load(LABEL, BAGS, 60.0, 120.0, in_band)
    for share, kept in ((1.0, True), (1.02, False)):
        load = Load(SLAB, share * most, 3500.0, 4.0, 155.0)
        assert in_band(run_load(LABEL, load, 60.0, 120.0)) is kept
    by_core = largest_load(LABEL, BAGS, 60.0, 60.0, lambda run: run.core_c()[-1] >= 59.0)
    assert by_core > most
    assert largest_load(LABEL, BAGS, 60.0, 30.0, lambda run: False) == 0.0
    assert largest_load(LABEL, BAGS, 60.0, 30.0, lambda run: True, most_kg=50.0) == 50.0


def test_nonsense_is_refused():
    nan = float("nan")
    for make in (
        lambda: Bath(0.0, 1.0, 1.0, 1.0),
        lambda: Bath(1e5, nan, 1.0, 1.0),
        lambda: Bath(1e5, 1.0, 1.0, 1.0, humidity=1.2),
        lambda: Bath.of(0.0, 2000.0),
        lambda: Load(SLAB, -1.0, 3500.0, 4.0, 155.0),
        lambda: Load(SLAB, 1.0, 3.5, 4.0, 155.0),
        lambda: Load(SLAB, 1.0, 3500.0, 200.0, 155.0),
        lambda: run_load(LABEL, BAGS, 101.0, 60.0),
        lambda: run_load(LABEL, BAGS, 60.0, nan),
        lambda: heat_up(LABEL, 90.0, [0.0, 1e5]),
        lambda: fitted([0.0, 60.0], [20.0, 40.0], 100.0),
        lambda: largest_load(LABEL, BAGS, 60.0, 60.0, lambda run: True, most_kg=0.0),
        lambda: vapour_pressure_pa(120.0),
    ):
        with pytest.raises(RangeError):
            make()
    with pytest.raises(BodyError):
        Load(Body(Shape.SLAB, (2.0,), 1.3e-7, 0.48), 1.0, 3500.0, 4.0, 155.0)
    assert issubclass(RangeError, HaccpError)
