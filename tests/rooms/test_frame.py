"""Shapes of the sprung body: rigid, bending, stepped."""

import numpy as np
import pytest

from counterbounce.model.frame import Frame, coordinate_names

BREAKS = (1.5, 4.0)


def steps(x):
    return np.array([3e6, 5.5e6, 2.5e6])[np.searchsorted(BREAKS, x, side="right")]


STEPPED = Frame(-1.0, 6.0, steps, 9, BREAKS)
FRAMES = [Frame(-1.0, 6.0), Frame(-1.0, 6.0, lambda x: 5e6 + 0 * x, 7), STEPPED]


@pytest.mark.parametrize("frame", FRAMES)
def test_slope_and_curvature_are_derivatives_of_the_rise(frame):
    step, x = 1e-4, np.array([-0.7, 0.4, 1.2, 2.9, 5.1])
    before, there, after = (frame.rise(x + d) for d in (-step, 0.0, step))
    slope = np.array([[frame.slope(s)[c] for c in frame.coordinates] for s in x])
    assert np.allclose((after - before) / (2 * step), slope, atol=1e-6)
    assert np.allclose((after - 2 * there + before) / step**2, frame.curvature(x), atol=1e-4)


@pytest.mark.parametrize("frame", FRAMES)
def test_shapes_are_orthogonal_and_one_at_the_rear_end(frame):
    x, w = frame.gauss()
    assert w.sum() == pytest.approx(frame.length)
    gram = frame.rise(x).T @ (w[:, None] * frame.rise(x))
    assert np.allclose(gram, np.diag(np.diag(gram)), atol=1e-10)
    assert np.allclose(frame.rise([frame.rear])[0], 1.0)
    assert np.allclose(frame.rise(x)[:, 0], 1.0)  # the first shape is a lift


def test_the_bending_moment_does_not_see_a_step_of_stiffness():
    """EI times curvature is smooth, where the curvature jumps."""
    for at in BREAKS:
        x = np.array([at - 1e-9, at + 1e-9])
        curvature = STEPPED.curvature(x)[:, 2:]
        moment = steps(x)[:, None] * curvature
        assert np.allclose(moment[0], moment[1], rtol=1e-6, atol=1e-6 * np.abs(moment).max())
        assert np.abs(curvature[0] - curvature[1]).max() > 0.1 * np.abs(curvature).max()


@pytest.mark.parametrize("frame", FRAMES)
@pytest.mark.parametrize(("end", "arm"), [(6.0, 0.7), (-1.0, -0.4)])
def test_beyond_an_end_a_point_rides_on_an_arm(frame, end, arm):
    row, rise, slope = frame.row(end + arm), frame.row(end), frame.slope(end)
    for c in frame.coordinates:
        assert row[c] == pytest.approx(rise[c] + arm * slope[c], abs=1e-12)
    assert frame.slope(end + arm) == slope


def test_a_shape_is_never_extrapolated():
    for station in (-1.1, 6.2):
        with pytest.raises(ValueError, match=r"outside the frame \(-1 to 6 m\); hang an arm"):
            STEPPED.rise([0.0, station])


@pytest.mark.parametrize(
    ("terms", "names"),
    [(1, ("bounce",)), (2, ("bounce", "pitch")), (4, ("bounce", "pitch", "bend 1", "bend 2"))],
)
def test_coordinates_are_named(terms, names):
    assert coordinate_names(terms) == names
