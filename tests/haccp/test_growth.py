"""haccp.growth: the closed form against an ODE solver, the integral against quad, bands and refusals."""

from itertools import pairwise

import numpy as np
import pytest
from scipy.integrate import quad, solve_ivp

from haccp.errors import DataError, RangeError, ReadingsError
from haccp.growth import cumulative_growth, growth, moment_reached, steady_hours, work
from haccp.growthmodels import Mark, _strain, growth_model, growth_models
from haccp.record import Outcome

CHILL, COME_UP = growth_model("c_perfringens_chill"), growth_model("c_perfringens_come_up")
CEREUS, LISTERIA = growth_model("b_cereus"), growth_model("listeria_store")
BOTULINUM, SALMONELLA = growth_model("c_botulinum_store"), growth_model("salmonella_come_up")


def test_the_range_between_two_lags():
    """54.4 to 26.7 °C in 1.5 h, to 4.4 °C in 5 h: M 7.97, 0.29 log with h0 8 and 1.73 with h0 4."""
    times, celsius = [0, 5400, 23400], [54.4, 26.7, 4.4]
    assert work(times, celsius, CHILL.strains[0])[-1] == pytest.approx(7.97, abs=0.005)
    assert growth(times, celsius, CHILL, lag=8.0) == pytest.approx(0.29, abs=0.005)
    assert growth(times, celsius, CHILL, lag=4.0) == pytest.approx(1.73, abs=0.005)
    assert growth([0, 7200, 21600], [4, 50, 50], SALMONELLA, lag=6.3) < growth(
        [0, 7200, 21600], [4, 50, 50], SALMONELLA
    )


@pytest.mark.parametrize("seed", range(6))
def test_the_closed_form_solves_the_differential_equations(seed):
    """Baranyi and Roberts by scipy's solve_ivp, random histories."""
    rng = np.random.default_rng(seed)
    hours, celsius = np.linspace(0.0, 8.0, 9), rng.uniform(5.0, 55.0, 9)
    strain = CHILL.strains[0]
    lag, most = strain.lag, 10.0**strain.ceiling

    def slope(at, state):
        rate = float(strain.rate(np.interp(at, hours, celsius)))
        ready = 1.0 / (1.0 + np.exp(-state[0]))
        return [rate, rate * ready * (1.0 - np.exp(state[1]) / most)]

    start = [-np.log(np.expm1(lag)), 0.0]
    solved = solve_ivp(slope, (0.0, 8.0), start, rtol=1e-9, atol=1e-10, max_step=0.02)
    assert growth(hours * 3600.0, celsius, CHILL) == pytest.approx(solved.y[1, -1] / np.log(10.0), abs=1e-4)


@pytest.mark.parametrize("model", growth_models().values(), ids=lambda model: model.key)
def test_the_integral_is_right_however_long_a_piece_is(model):
    """Against scipy's quad: the stated 1e-10."""
    low, high = model.holds
    for strain in model.strains:
        for a, b in ((low, high), (high, low + 1.0), (0.5 * (low + high), 0.6 * high), (max(low, 4.0), 4.3)):
            corners = sorted((each - a) / (b - a) for each in strain.smooth_between if low < each < high)

            def rate(share, a=a, b=b, strain=strain):
                return float(strain.rate(np.array(a + (b - a) * share)))

            cuts = [0.0, *(each for each in corners if 0.0 < each < 1.0), 1.0]
            truth = sum(quad(rate, x, y, epsabs=1e-14, epsrel=1e-13, limit=300)[0] for x, y in pairwise(cuts))
            assert work([0.0, 3600.0], [a, b], strain)[-1] == pytest.approx(truth, rel=1e-10, abs=1e-14)


def test_a_curve_may_be_cut_anywhere_and_long_holds_end_at_the_ceiling():
    whole = cumulative_growth([0, 7200, 14400], [50, 30, 10], CHILL)
    fine = cumulative_growth(np.linspace(0, 14400, 97), np.linspace(50, 10, 97), CHILL)
    assert whole == pytest.approx(fine[[0, 48, 96]], abs=1e-9)
    assert (np.diff(fine) >= 0.0).all()
    assert growth([0, 1e7], [40, 40], CHILL) == 5.5
    assert growth([0], [40], CHILL) == 0.0
    assert growth([0, 1e7], [70, 70], CHILL) == 0.0
    assert growth([0, 0, 3600], [60, 40, 40], CHILL) == growth([0, 3600], [40, 40], CHILL)


def test_when_an_amount_is_reached():
    """Two log of Listeria at 5 °C after 2/0.45 days."""
    at = moment_reached([0, 864000], [5, 5], LISTERIA, 2.0)
    assert 2.0 / 0.45 * 86400.0 - 120.0 <= at <= 2.0 / 0.45 * 86400.0
    assert moment_reached([0, 86400], [5, 5], LISTERIA, 2.0) is None
    for celsius in (20.0, 37.0, 46.4):
        hours = steady_hours(celsius, CHILL, 1.0)
        assert growth([0, hours * 3600.0], [celsius] * 2, CHILL) == pytest.approx(1.0, abs=1e-9)
    assert steady_hours(60.0, CHILL, 1.0) == steady_hours(40.0, CHILL, 5.5) == np.inf


def test_bands_hold_at_their_edges():
    at = {"just under": -1e-9, "at": 0.0, "just over": 1e-9}
    wanted = {
        (CHILL, 1.0): (Outcome.MEETS, Outcome.MEETS, Outcome.TO_REVIEW),
        (CHILL, 3.0): (Outcome.TO_REVIEW, Outcome.FAILS, Outcome.FAILS),
        (COME_UP, 3.0): (Outcome.TO_REVIEW, Outcome.TO_REVIEW, Outcome.FAILS),
        (CEREUS, 2.0): (Outcome.TO_REVIEW, Outcome.TO_REVIEW, Outcome.FAILS),
        (BOTULINUM, 0.5): (Outcome.MEETS, Outcome.TO_REVIEW, Outcome.TO_REVIEW),
        (BOTULINUM, 1.0): (Outcome.TO_REVIEW, Outcome.FAILS, Outcome.FAILS),
        (LISTERIA, 0.5): (Outcome.MEETS, Outcome.MEETS, Outcome.TO_REVIEW),
        (SALMONELLA, 9.0): (Outcome.TO_REVIEW,) * 3,
    }
    for (model, edge), outcomes in wanted.items():
        assert tuple(model.judge(edge + each) for each in at.values()) == outcomes
    with pytest.raises(RangeError):
        CHILL.judge(float("nan"))


def test_every_figure_shows_how_well_it_is_known():
    marks = {figure.name: figure.mark for figure in CHILL.strains[0].figures.values()}
    assert (marks["mu_opt"], marks["h0"], marks["ph_min"]) == (Mark.PUBLISHED, Mark.DERIVED, Mark.MEMORY)
    assert "h0 5.5 [D]" in CHILL.printed_figures
    assert "warm: t_opt 40 °C [M]" in CEREUS.printed_figures
    assert all(mark.words for mark in Mark)
    for model in growth_models().values():
        assert model.covers
        assert model.not_covered
        assert model.cautions


def test_nonsense_is_refused():
    with pytest.raises(ReadingsError):
        growth([0, 60], [float("nan"), 5.0], CHILL)
    with pytest.raises(ReadingsError):
        growth([60, 0], [5.0, 5.0], CHILL)
    with pytest.raises(RangeError, match="25 °C"):
        growth([0, 60], [5.0, 31.0], LISTERIA)
    with pytest.raises(RangeError):
        growth([0, 60], [5.0, 5.0], CHILL, lag=-1.0)
    with pytest.raises(RangeError):
        steady_hours(5.0, LISTERIA, 0.0)
    with pytest.raises(RangeError):
        moment_reached([0, 60], [5.0, 5.0], LISTERIA, float("nan"))
    with pytest.raises(DataError, match="Choose one of"):
        growth_model("yeast")
    with pytest.raises(DataError):
        _strain({"figures": {"t_min": {"value": "warm"}}}, "square", {}, "entry")
