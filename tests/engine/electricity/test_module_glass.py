import numpy as np
import pvlib
import pytest

from noonhold.electricity.module_glass import array_angular_factor, array_diffuse_factors


def test_array_curve_is_pvlibs():
    angles = np.array([0.0, 15.0, 45.0, 60.0, 75.0, 85.0, 89.9, 90.0])
    np.testing.assert_allclose(
        array_angular_factor(np.cos(np.radians(angles))), pvlib.iam.physical(angles), atol=1e-12
    )


def test_array_diffuse_is_marions():
    tilts = np.array([0.0, 15.0, 35.0, 60.0, 90.0])
    sky, ground = array_diffuse_factors(tilts)
    theirs = pvlib.iam.marion_diffuse("physical", tilts)
    np.testing.assert_allclose(sky, theirs["sky"], atol=0.001)
    np.testing.assert_allclose(ground, theirs["ground"], atol=0.001)
    assert ground[0] == 0.0
    assert sky[-1] == pytest.approx(ground[-1])


def test_diffuse_factors_keep_the_shape_of_re_aimed_arrays():
    tilt = np.where(np.arange(48) < 20, 30.0, 60.0)[:, None]
    sky, ground = array_diffuse_factors(tilt)
    assert sky.shape == ground.shape == (48, 1)
    each = array_diffuse_factors([30.0, 60.0])
    np.testing.assert_array_equal(sky[[0, 47], 0], each[0])
    np.testing.assert_array_equal(ground[[0, 47], 0], each[1])
