"""A come-up is told also where the upper curve ends above the boiling point, as an unread bath may allow."""

import numpy as np
import pytest

from haccp.rules.come_up import warming_s


def test_an_upper_curve_above_boiling_is_no_obstacle():
    times = np.array([0.0, 600.0, 1200.0, 1800.0])
    warm, hot = np.array([0.0, 40.0, 80.0, 100.3]), np.array([0.0, 20.0, 40.0, 60.0])
    # Own computation: 10 °C is crossed a quarter of the way to 40 °C; 54 °C at 0.7 of the last ten minutes.
    assert warming_s(times, warm, hot, 10.0, 54.0) == pytest.approx(1200.0 + 420.0 - 150.0)
