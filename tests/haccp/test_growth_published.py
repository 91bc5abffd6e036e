"""haccp.growth and haccp.growthmodels against published pairs, an ODE solver and worked tables.

The tables of rates, chill profiles and lives were computed elsewhere from the same published or
chosen figures (own computation, printed to two or three digits); the pairs of observed growth in
growth_checks.csv were read in abstracts and are independent of the models, save those marked fit
and anchor.
"""

import re

import numpy as np
import pytest

from haccp.errors import RangeError
from haccp.growth import growth, steady_hours
from haccp.growthmodels import Hurdles, growth_model
from tests.haccp.tables import rows

CHILL, COME_UP = growth_model("c_perfringens_chill"), growth_model("c_perfringens_come_up")
CEREUS, LISTERIA = growth_model("b_cereus"), growth_model("listeria_store")
BOTULINUM, SALMONELLA = growth_model("c_botulinum_store"), growth_model("salmonella_come_up")
MODELS = {
    "C. perfringens": CHILL,
    "B. cereus": CEREUS,
    "L. monocytogenes": LISTERIA,
    "C. botulinum, non-proteolytic": BOTULINUM,
    "Salmonella": SALMONELLA,
}


def curve(row):
    pairs = [each.split(":") for each in row["history_min_degC"].split(";")]
    return 60.0 * np.array([float(a) for a, _ in pairs]), np.array([float(b) for _, b in pairs])


def model_of(row):
    come_up = "come-up" in row["conditions"] and row["organism"] == "C. perfringens"
    return COME_UP if come_up else MODELS[row["organism"]]


CHECKS = [row for row in rows("growth_checks.csv") if row["organism"] in MODELS]


@pytest.mark.parametrize(
    ("strain", "rates"),
    [
        (
            CHILL.strains[0],
            {
                15: 0.215,
                20: 0.696,
                25: 1.441,
                30: 2.429,
                37: 4.136,
                43: 5.624,
                46.4: 6.060,
                50: 4.407,
                51: 2.184,
            },
        ),
        (
            SALMONELLA.strains[0],
            {8: 0.026, 10: 0.076, 15: 0.308, 20: 0.681, 25: 1.17, 30: 1.73, 40: 2.53, 45: 1.87},
        ),
    ],
)
def test_specific_rates(strain, rates):
    for celsius, rate in rates.items():
        places = len(f"{rate}".split(".")[1])
        assert float(strain.rate(np.array(float(celsius)))) == pytest.approx(rate, abs=0.51 * 10.0**-places)
    edges = np.array([-40.0, strain.smooth_between[0], strain.smooth_between[-1], 90.0])
    assert (strain.rate(edges) == 0.0).all()


def test_doubling_times():
    """41-46 °C, C. perfringens in autoclaved ground beef: 6.6 to 9.2 min (Labbé and Huang 1995,
    page seen); B. cereus of the cold set 44, 16, 8.2, 4.1, 2.8 h at 3, 5, 7, 10, 12 °C, of which
    8.2 h is published (Dufrenne 1994)."""
    for celsius in (41.0, 43.5, 46.0):
        minutes = 60.0 * np.log(2.0) / float(CHILL.strains[0].rate(np.array(celsius)))
        assert 6.6 <= minutes <= 9.2
    for celsius, hours in ((3.0, 44.0), (5.0, 16.0), (7.0, 8.2), (10.0, 4.1), (12.0, 2.8)):
        rate = float(CEREUS.strains[1].rate(np.array(celsius)))
        assert np.log(2.0) / rate == pytest.approx(hours, rel=0.03)


def test_listeria_and_botulinum_tables():
    """Rates a day (two digits), days to 2 log and to a share of 1; the last two to the printed digit."""
    for celsius, rate in (
        (0, 0.06),
        (2, 0.17),
        (3, 0.25),
        (4, 0.34),
        (5, 0.45),
        (7, 0.71),
        (8, 0.86),
        (10, 1.21),
    ):
        assert 24.0 * float(LISTERIA.strains[0].rate(np.array(float(celsius)))) == pytest.approx(
            rate, abs=0.005
        )
    for celsius, days in ((3, 8.0), (4, 5.8), (5, 4.4), (7, 2.8), (8, 2.3)):
        assert steady_hours(celsius, LISTERIA, 2.0) / 24.0 == pytest.approx(days, abs=0.051)
    for celsius, days in (
        (3.3, 20.3),
        (4, 13.3),
        (5, 8.6),
        (6, 6.2),
        (7, 4.7),
        (8, 3.7),
        (10, 2.5),
        (12, 1.8),
    ):
        assert steady_hours(celsius, BOTULINUM, 1.0) / 24.0 == pytest.approx(days, abs=0.051)
    assert steady_hours(15, BOTULINUM, 1.0) / 24.0 == pytest.approx(1.1, abs=0.051)
    assert steady_hours(20, BOTULINUM, 1.0) / 24.0 == pytest.approx(0.55, abs=0.0051)
    # At 3.0 °C nothing counts, just above it does.
    assert steady_hours(3.0, BOTULINUM, 1.0) == np.inf
    assert steady_hours(3.001, BOTULINUM, 1.0) / 24.0 == pytest.approx(25.5, abs=0.1)
    # Ten days at an indicated 3, 4 and 5 °C with 0.5 K of tolerance: shares from the worked example.
    for celsius, share in ((3.5, 0.56), (4.0, 0.75), (5.0, 1.16)):
        assert growth([0, 864000], [celsius, celsius], BOTULINUM) == pytest.approx(share, abs=0.0051)


def test_measured_ph_and_water_activity():
    """Listeria at 5 °C: 0.34, 0.29, 0.24 log a day (from memory of Mejlholm and Dalgaard 2009)."""
    listeria, perfringens = LISTERIA.strains[0], CHILL.strains[0]
    for hurdles, rate in ((Hurdles(7.0, 1.0), 0.34), (Hurdles(6.5, 0.99), 0.29), (Hurdles(5.8, 0.985), 0.24)):
        assert 0.45 * listeria.slowed_by(hurdles) == pytest.approx(rate, abs=0.005)
    assert perfringens.slowed_by(Hurdles()) == perfringens.slowed_by(Hurdles(7.0, 0.997)) == 1.0
    # Rosso's term at pH 6: (1)(−3)/((1)(−3) − 1) = 0.75, by hand; and no more below pH 5.5 than at it.
    assert perfringens.slowed_by(Hurdles(ph=6.0)) == pytest.approx(0.75)
    assert perfringens.slowed_by(Hurdles(ph=4.5)) == perfringens.slowed_by(Hurdles(ph=5.5)) > 0.0
    assert perfringens.slowed_by(Hurdles(ph=8.0)) == 1.0
    assert BOTULINUM.strains[0].slowed_by(Hurdles(5.5, 0.98)) == 1.0
    for nonsense in ({"ph": 15.0}, {"ph": float("nan")}, {"water_activity": 0.0}, {"water_activity": 1.1}):
        with pytest.raises(RangeError):
            Hurdles(**nonsense)


@pytest.mark.parametrize("row", CHECKS, ids=lambda row: row["id"])
def test_every_history_gives_the_recorded_prediction(row):
    """Own predictions of the same models by another integrator, printed to 0.01; tolerance 0.03."""
    expected = float(re.search(r"[\d.]+$", row["default_model"])[0])
    times, celsius = curve(row)
    found = growth(times, celsius, model_of(row))
    if row["id"] == "G116":
        # Printed for the warm strains alone; the cold ones do better in this slow, cool chill.
        assert found > expected
        return
    assert found == pytest.approx(expected, abs=0.03)


def errors(organism, uses, longest_h=np.inf):
    """Prediction minus observation, by id, of rows whose observation is a number."""
    found = {}
    for row in CHECKS:
        times, celsius = curve(row)
        counts = row["organism"] == organism and row["use"] in uses and times[-1] <= longest_h * 3600.0
        if counts and re.fullmatch(r"[\d.]+", row["observed_log"]):
            found[row["id"]] = growth(times, celsius, model_of(row)) - float(row["observed_log"])
    return found


def test_perfringens_against_observed_growth():
    """Chills of 12 h and less in small bags: 11 of 13 fail-safe, worst −0.06, mean +1.1 log. All of
    6.5 to 21 h: 39 of 42 within half a log or above; the three misses are 18 and 21 h, where
    prediction and observation are both beyond 5 log."""
    short = errors("C. perfringens", {"check"}, 12.0)
    assert len(short) == 13
    assert sum(each >= 0.0 for each in short.values()) == 11
    assert min(short.values()) == pytest.approx(-0.06, abs=0.005)
    assert np.mean(list(short.values())) == pytest.approx(1.1, abs=0.05)
    every = errors("C. perfringens", {"check", "cap-check"}, 21.0)
    misses = {key for key, each in every.items() if each < -0.5}
    assert (len(every), misses) == (42, {"G006", "G011", "G012"})
    for row in CHECKS:
        if row["id"] in misses:
            assert float(row["observed_log"]) > 5.0
            assert growth(*curve(row), CHILL) > 5.0


def test_known_to_fall_short():
    """Uncured turkey (Kalinowski 2003): 2.25 and 2.44 seen; fastest Listeria: 5.0. The cautions say so."""
    turkey = next(row for row in CHECKS if row["id"] == "G059")
    assert growth(*curve(turkey), CHILL) == pytest.approx(1.11, abs=0.03)
    fastest = next(row for row in CHECKS if row["id"] == "G130")
    assert growth(*curve(fastest), LISTERIA) < float(fastest["observed_log"])
    assert any("fall short" in each for each in CHILL.cautions)
    assert any("faster" in each for each in LISTERIA.cautions)


def test_cereus_listeria_and_botulinum_against_observations():
    """B. cereus: fit of 12 pairs, root mean square 0.21. Listeria in bag-cooked meat: covered (−0.01
    is the print). Toxin: in every published trial the share had come to 1 by the first toxic sample."""
    fit = np.array(list(errors("B. cereus", {"fit"}).values()))
    assert (fit.size, np.sqrt(np.mean(fit**2))) == (12, pytest.approx(0.21, abs=0.005))
    assert min(errors("L. monocytogenes", {"check"}).values()) > -0.01
    toxic = [r for r in CHECKS if r["organism"].startswith("C. bot") and "toxin" in r["observed_log"]]
    toxic = [row for row in toxic if not row["observed_log"].startswith("no toxin") and row["use"] == "check"]
    shares = [growth(*curve(row), BOTULINUM) for row in toxic]
    assert len(shares) >= 11
    assert min(shares) == pytest.approx(1.05, abs=0.005)


def test_cold_strains_in_the_store():
    for days, celsius, grown in ((5, 5, 1.36), (7, 5, 2.25), (10, 3, 0.79), (5, 7, 3.5), (5, 8, 4.8)):
        assert growth([0, days * 86400], [celsius] * 2, CEREUS) == pytest.approx(grown, abs=0.03)
