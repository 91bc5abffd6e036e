"""Lethality: closed forms, and what must hold for any curve.

Closed forms are own computation (section by section: linear ramp; Ball's heating curve with
the exponential integral); adaptive quadrature is scipy's.
"""

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad, trapezoid
from scipy.special import exp1

from haccp.errors import DataError, RangeError, ReadingsError
from haccp.lethality import (
    cumulative_lethal_minutes,
    equivalent_hold_minutes,
    lethal_minutes,
    lethal_rate,
    log_reduction,
    minutes_at_or_above,
    organism,
    organisms,
    spans_at_or_above,
)

CURVES = st.lists(st.tuples(st.floats(0.0, 900.0), st.floats(0.0, 100.0)), min_size=1, max_size=12).map(
    lambda steps: (np.cumsum([step for step, _ in steps]), np.array([temp for _, temp in steps]))
)
Z = st.floats(4.0, 12.0)


@pytest.mark.parametrize(
    ("start", "end", "minutes", "expected"), [(50, 70, 40, 6.500382), (5, 60, 55, 0.151186)]
)
def test_linear_ramp_has_its_closed_form(start, end, minutes, expected):
    """F = z/(r ln 10) (L1 - L0), own computation to 6 decimals."""
    found = lethal_minutes([0, minutes * 60], [start, end], reference_c=70, z_c=7.5)
    assert found == pytest.approx(expected, abs=6e-7)


@pytest.mark.parametrize(
    ("bath", "start", "j", "f", "minutes", "reference", "z", "expected"),
    [
        (60, 5, 1.2, 30, 90, 70, 7.5, 2.021007),
        (65, 5, 1.2, 40, 120, 70, 7.5, 12.188746),
        (121.1, 70, 1.4, 40, 90, 121.1, 10, 32.874836),
        (85, 5, 1.27, 45, 150, 90, 7.0, 13.599991),
    ],
)
def test_exponential_heating_curve(bath, start, j, f, minutes, reference, z, expected):
    """T = Th - j (Th - T0) 10^(-t/f); F = (f/ln 10) L(Th) [E1(c g) - E1(c g0)], scipy's E1."""
    times = np.arange(0, minutes * 60 + 1.0)
    gap = j * (bath - start)
    temps = bath - gap * 10 ** (-times / 60 / f)
    c, end_gap = math.log(10) / z, gap * 10 ** (-minutes / f)
    exact = f / math.log(10) * 10 ** ((bath - reference) / z) * (exp1(c * end_gap) - exp1(c * gap))
    assert exact == pytest.approx(expected, abs=6e-7)
    found = lethal_minutes(times, temps, reference_c=reference, z_c=z)
    assert found == pytest.approx(exact, rel=1e-6)


@pytest.mark.parametrize(
    ("step", "trapezoid_gives"), [(0.5, 6.5036), (1, 6.5131), (2, 6.5514), (5, 6.8164), (10, 7.7294)]
)
def test_sampling_makes_the_trapezoid_too_high_and_leaves_the_closed_form_alone(step, trapezoid_gives):
    """Sampling error of the plain trapezoid on 50 to 70 °C in 40 min, own computation."""
    minutes = np.arange(0, 40 + step / 2, step)
    temps = 50 + 0.5 * minutes
    assert trapezoid(10 ** ((temps - 70) / 7.5), minutes) == pytest.approx(trapezoid_gives, abs=6e-5)
    found = lethal_minutes(minutes * 60, temps, reference_c=70, z_c=7.5)
    assert found == pytest.approx(6.500382, abs=6e-7)


def test_two_slopes_agree_with_adaptive_quadrature():
    times, temps = np.array([0, 1200, 3000, 3600.0]), np.array([70, 96, 88, 60.0])

    def rate(t):
        over = np.interp(t, times, temps) - 90
        return 10 ** (over / (10 if over > 0 else 9))

    crossings = [1200 * 20 / 26, 1200 + 1800 * 6 / 8]
    pieces = sorted([*times, *crossings])
    exact = sum(quad(rate, a, b, epsrel=1e-11)[0] for a, b in pairwise(pieces)) / 60
    found = lethal_minutes(times, temps, reference_c=90, z_c=9, z_above_c=10)
    assert found == pytest.approx(exact, rel=1e-9)


def test_nothing_counts_below_the_end_of_the_evidence():
    flat = {"reference_c": 90.0, "z_c": 9.0, "z_above_c": 10.0, "counts_from_c": 80.0}
    assert lethal_minutes([0, 600], [79.99, 79.99], **flat) == 0.0
    assert lethal_minutes([0, 600], [80.0, 80.0], **flat) == pytest.approx(10 * 10 ** (-10 / 9))
    ramp = lethal_minutes([0, 1200], [70.0, 90.0], **flat)
    assert ramp == pytest.approx(lethal_minutes([600, 1200], [80.0, 90.0], **flat))


@pytest.mark.parametrize("rise", [0.0, 1e-300, 1e-15, 1e-12, 1e-9, 1e-6])
def test_nearly_flat_intervals_keep_every_digit(rise):
    found = lethal_minutes([0, 3600], [60.0, 60.0 + rise], reference_c=60, z_c=7.5)
    assert found == pytest.approx(60.0 * (1 + math.log(10) / 7.5 * rise / 2), rel=1e-14)


@settings(deadline=None, max_examples=150)
@given(CURVES, Z)
def test_never_above_the_trapezoid_and_never_below_the_coldest_end(curve, z):
    times, temps = curve
    rate = 10 ** ((temps - 70) / z)
    found = lethal_minutes(times, temps, reference_c=70, z_c=z)
    assert found <= trapezoid(rate, times / 60) * (1 + 1e-12) + 1e-300
    assert found >= np.sum(np.minimum(rate[1:], rate[:-1]) * np.diff(times / 60)) * (1 - 1e-12)


@settings(deadline=None, max_examples=150)
@given(CURVES, Z, st.floats(0.0, 1.0), st.sampled_from([None, 10.0]))
def test_a_point_on_the_line_changes_nothing_and_parts_add_up(curve, z, where, z_above):
    times, temps = curve
    cut = times[0] + where * (times[-1] - times[0])
    at_cut = np.interp(cut, times, temps)
    before, after = times <= cut, times >= cut
    args = {"reference_c": 70.0, "z_c": z, "z_above_c": z_above}
    parts = lethal_minutes(np.append(times[before], cut), np.append(temps[before], at_cut), **args)
    parts += lethal_minutes(np.insert(times[after], 0, cut), np.insert(temps[after], 0, at_cut), **args)
    # Jumps (one moment twice) are joined by np.interp in its own way: leave those curves out.
    if (np.diff(times) > 1e-6).all():
        assert parts == pytest.approx(lethal_minutes(times, temps, **args), rel=1e-7, abs=1e-12)


@settings(deadline=None, max_examples=100)
@given(CURVES, Z, st.floats(0.0, 20.0))
def test_hotter_is_never_less_and_the_running_sum_never_falls(curve, z, more):
    times, temps = curve
    running = cumulative_lethal_minutes(times, temps, reference_c=70, z_c=z, z_above_c=10)
    hotter = cumulative_lethal_minutes(times, temps + more, reference_c=70, z_c=z, z_above_c=10)
    assert running.shape == times.shape
    assert (np.diff(running) >= 0).all()
    assert (hotter >= running * (1 - 1e-12)).all()


def test_minutes_and_spans_cross_exactly():
    times, temps = [0, 600, 1200, 1800, 2400], [50, 70, 70, 50, 60]
    assert spans_at_or_above(times, temps, 60) == [(300.0, 1500.0)]
    assert minutes_at_or_above(times, temps, 60) == 20.0
    assert spans_at_or_above(times, temps, 55) == [(150.0, 1650.0), (2100.0, 2400.0)]
    assert minutes_at_or_above(times, temps, 70) == 10.0
    assert minutes_at_or_above(times, temps, 70.0001) == 0.0
    assert spans_at_or_above([0], [99], 60) == []


def test_a_flat_hold_on_the_threshold_counts_in_full():
    assert minutes_at_or_above([0, 2700], [60.0, 60.0], 60.0) == 45.0


def test_log_reduction_is_minutes_over_d():
    listeria = organism("listeria_reference")
    assert log_reduction([0, 120], [70, 70], listeria) == pytest.approx(6.0, rel=1e-9)
    assert log_reduction([0, 600], [90, 90], organism("botulinum_cold_z9")) == pytest.approx(6.0, rel=1e-9)


def test_every_organism_has_a_name_and_a_pedigree():
    assert {"Salmonella", "Listeria monocytogenes", "E. coli O157", "Non-proteolytic C. botulinum"} == {
        each.name for each in organisms().values()
    }
    assert all(each.sources and each.provenance for each in organisms().values())


@pytest.mark.parametrize(
    ("times", "temps", "error"),
    [
        ([], [], ReadingsError),
        ([0, 60], [60], ReadingsError),
        ([60, 0], [60, 60], ReadingsError),
        ([0, 60], [60, float("nan")], ReadingsError),
        ([0, 60], [60, 6000], ReadingsError),
        ([0, "x"], [60, 60], ReadingsError),
        ([[0, 1]], [[60, 60]], ReadingsError),
    ],
)
def test_a_bad_curve_is_refused_with_advice(times, temps, error):
    with pytest.raises(error, match=r"\."):
        lethal_minutes(times, temps, reference_c=70, z_c=7.5)


@pytest.mark.parametrize(("reference", "z"), [(70, 0), (70, -7), (70, 500), (0, 7.5), (float("nan"), 7.5)])
def test_an_impossible_z_or_reference_is_refused(reference, z):
    with pytest.raises(RangeError):
        lethal_rate(60, reference_c=reference, z_c=z)


def test_other_bad_input_is_refused():
    with pytest.raises(RangeError):
        lethal_rate(float("nan"), reference_c=70, z_c=7.5)
    with pytest.raises(RangeError):
        minutes_at_or_above([0, 1], [60, 60], float("nan"))
    with pytest.raises(DataError, match="listeria_meat"):
        organism("yeti")
    assert equivalent_hold_minutes(2, 70, reference_c=70, z_c=7.5) == 2
