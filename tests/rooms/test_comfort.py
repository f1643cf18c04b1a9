import numpy as np
import pytest

from counterbounce.model import comfort


def test_unweighted_is_one_everywhere():
    assert comfort.weighting_factor("none", [0.0, 3.0, 500.0]).tolist() == [1.0, 1.0, 1.0]


@pytest.mark.parametrize("kind", ["none", "Wk", "Wd", "Wc"])
def test_many_frequencies_at_once_keep_their_shape(kind):
    f = np.linspace(0.5, 80, 12).reshape(3, 4)
    many = comfort.weighting_factor(kind, f)
    assert many.shape == (3, 4)
    assert many[1, 2] == pytest.approx(comfort.weighting_factor(kind, f[1, 2]), rel=1e-12)


@pytest.mark.parametrize("kind", ["Wk", "Wd", "Wc"])
def test_a_steady_push_is_not_felt_as_vibration(kind):
    assert comfort.weighting_factor(kind, 0.0) == 0.0


def test_an_unknown_weighting_is_refused_by_name():
    with pytest.raises(ValueError, match="'Wz': wanted one of none, Wk, Wd, Wc"):
        comfort.weighting_factor("Wz", 1.0)


@pytest.mark.parametrize("level", [-0.1, float("nan")])
def test_a_level_that_cannot_be_is_refused(level):
    with pytest.raises(ValueError, match="level must be"):
        comfort.comfort_words(level)


def test_every_level_has_one_or_two_words():
    for level in [0.0, *np.geomspace(0.01, 20, 400)]:
        assert 1 <= len(comfort.comfort_words(float(level))) <= 2
