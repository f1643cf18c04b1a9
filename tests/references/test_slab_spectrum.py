"""Harmonics of a pavement of equal slabs against NumPy's FFT of the slab's own profile."""

import numpy as np
import pytest

from counterbounce.model.road import Joints, slab_harmonic

COUNT = 2**16
SPACING = 4.6


def profile(joints):
    """Height [m] over one slab at the middles of equal pieces; joint at 0, and the gap around it."""
    x = (np.arange(COUNT) + 0.5) / COUNT
    height = joints.step * (0.5 - x) + 4 * joints.curl * (x - 0.5) ** 2
    near = np.minimum(x, 1 - x) * joints.spacing
    return x, height - joints.gap_depth * (near < joints.gap_width / 2)


@pytest.mark.parametrize(
    "joints",
    [
        Joints(SPACING, step=3e-3),
        Joints(SPACING, step=-3e-3),
        Joints(SPACING, curl=4e-3),
        Joints(SPACING, gap_width=SPACING * 256 / COUNT, gap_depth=3e-3),
        Joints(SPACING, step=2e-3, curl=-1e-3, gap_width=SPACING * 180 / COUNT, gap_depth=5e-3),
    ],
    ids=["step up", "step down", "curl", "gap", "all"],
)
def test_harmonics(joints):
    x, height = profile(joints)
    lines = 2 * np.fft.rfft(height)[:41] / COUNT * np.exp(-2j * np.pi * np.arange(41) * x[0])
    ours = np.array([slab_harmonic(joints, n) for n in range(1, 41)])
    # samples of a jump fold higher harmonics back: (pi n / count)^2, 4e-6 of the highest here
    assert np.allclose(ours, lines[1:], rtol=1e-5, atol=1e-5 * np.abs(lines[1:]).max())


def test_harmonics_add_up_to_the_profile():
    joints = Joints(SPACING, step=2e-3, curl=3e-3)
    x, height = profile(joints)
    n = np.arange(1, 400)
    shape = np.array([slab_harmonic(joints, int(k)) for k in n]) @ np.exp(2j * np.pi * n[:, None] * x[::64])
    inner = (x[::64] > 0.05) & (x[::64] < 0.95)
    assert np.allclose(shape.real[inner], (height - height.mean())[::64][inner], atol=2e-5)
