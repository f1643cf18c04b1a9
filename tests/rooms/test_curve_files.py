"""Universal files, data set 58: what is not ours to read is refused, and other people's files are read."""

import numpy as np
import pytest
import pyuff

from counterbounce.model.curve_files import curve_bytes, lines_between, read_curves
from counterbounce.model.example import small_truck
from counterbounce.model.faults import CounterbounceError


def measured(file, sets, over=13):
    """A file as a measuring system would leave it: (node, direction, kind of motion, values) each."""
    f = np.arange(1.0, 5.0)
    for node, direction, motion, values in sets:
        one = pyuff.prepare_58(
            binary=0, func_type=4, rsp_node=node, rsp_dir=direction, ref_node=7, ref_dir=3, x=f, data=values,
            abscissa_spacing=1, abscissa_spec_data_type=18, ordinate_spec_data_type=motion,
            orddenom_spec_data_type=over,
        )  # fmt: skip
        pyuff.UFF(str(file)).write_sets(one, "add")
    return f


def test_curves_without_names_are_called_by_node_and_direction(tmp_path):
    values = np.array([1 - 1j, 2 - 2j, 3 - 3j, 4 - 4j])
    file = tmp_path / "other.unv"
    f = measured(file, [(7, 3, 12, values), (2, -1, 11, 2 * values), (3, 3, 8, 3 * values)])
    curves = read_curves(file)
    assert [(c.response, c.reference, c.kind) for c in curves] == [
        ("7.3", "7.3", "accelerance"),
        ("2.-1", "7.3", "mobility"),
        ("3.3", "7.3", "receptance"),
    ]
    for n, c in enumerate(curves, 1):
        assert np.allclose(c.frequency, f, rtol=1e-12)
        assert np.allclose(c.values, n * values, rtol=1e-10)


def test_one_curve_alone_is_read_too(tmp_path):
    file = tmp_path / "one.unv"
    measured(file, [(1, 3, 8, np.ones(4) - 1j)])
    assert len(read_curves(file)) == 1


def test_other_data_sets_are_left_alone(tmp_path):
    """Forces over forces are no receptance; a file of nothing else is refused."""
    file = tmp_path / "forces.unv"
    measured(file, [(1, 3, 13, np.ones(4) - 1j)])
    with pytest.raises(CounterbounceError, match="no frequency response"):
        read_curves(file)
    measured(file, [(1, 3, 8, np.ones(4) - 1j)], over=8)  # a transmissibility
    with pytest.raises(CounterbounceError, match="no frequency response"):
        read_curves(file)
    measured(file, [(1, 3, 8, np.ones(4) - 1j)])
    assert len(read_curves(file)) == 1


@pytest.mark.parametrize(
    "content", [b"", b"no such file at all", b"    -1\n    58\nname\n    -1\n", bytes(range(256))]
)
def test_what_is_no_universal_file_is_refused(tmp_path, content):
    file = tmp_path / "broken.unv"
    file.write_bytes(content)
    with pytest.raises(CounterbounceError):
        read_curves(file)
    with pytest.raises(CounterbounceError, match="no file"):
        read_curves(tmp_path / "absent.unv")


def test_frequencies_that_would_come_back_changed_are_refused():
    point = small_truck().points["rear end"]
    f = np.linspace(1.0, 25.0, 1000)
    with pytest.raises(ValueError, match="lines_between"):
        curve_bytes(f, np.ones((1000, 1, 1)) - 1j, [point])
    assert curve_bytes(lines_between(1.0, 25.0, 1000), np.ones((1000, 1, 1)) - 1j, [point])


@pytest.mark.parametrize("band", [(0.0, 1.0, 9), (2.0, 1.0, 9), (1.0, 2.0, 1), (1.0, np.inf, 9)])
def test_a_band_that_is_none_is_refused(band):
    with pytest.raises(ValueError, match="upward"):
        lines_between(*band)
