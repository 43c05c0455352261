"""Laws of the AC and SC joints for any direction and force, whatever is cut."""

from __future__ import annotations

import numpy as np
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from endfeel.evidence.load import load_library
from endfeel.mechanics import acromioclavicular as ac
from endfeel.mechanics import sternoclavicular as sc
from endfeel.mechanics.changes import cut
from endfeel.mechanics.girdle_glides import glide
from endfeel.mechanics.girdle_ligaments import changed
from endfeel.mechanics.ligament_springs import SpringJoint, load_of, settle, stored_energy_j

JOINTS = (ac.default_joint(load_library()), sc.default_joint(load_library()))
way = st.tuples(*[st.floats(-1.0, 1.0)] * 3).filter(lambda vector: np.linalg.norm(vector) > 0.1)
force = st.floats(1.0, 150.0)
joint = st.sampled_from(JOINTS)
QUICK = settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow])


@QUICK
@given(joint, way, force)
def test_shares_add_up_and_nothing_pushes_or_pulls_the_wrong_way(
    of: SpringJoint, direction: tuple[float, float, float], force_n: float
) -> None:
    found = glide(of, direction, force_n)
    assert found.converged
    assert abs(sum(found.share.values()) - 1.0) < 1e-4
    assert all(tension >= 0.0 for tension in found.tension_n.values())
    assert found.along_m >= 0.0


@QUICK
@given(joint, way, force)
def test_rest_is_lower_than_any_place_near_it(
    of: SpringJoint, direction: tuple[float, float, float], force_n: float
) -> None:
    pushed = np.array(direction) / np.linalg.norm(direction) * force_n
    load = load_of(pushed)
    rest = settle(of, load)
    least = stored_energy_j(of, rest.place, load.axis) - pushed @ rest.shift_m
    for step in (*np.eye(4)[:3], *-np.eye(4)[:3]):
        place = rest.place + step * 1e-4
        assert stored_energy_j(of, place, load.axis) - pushed @ place[:3] > least


@QUICK
@given(joint, way, force, st.data())
def test_cutting_a_band_never_takes_the_bone_less_far(
    of: SpringJoint, direction: tuple[float, float, float], force_n: float, data: st.DataObject
) -> None:
    """With every band just slack at rest: the bone starts from the same place and less holds it."""
    band = data.draw(st.sampled_from(of.bands))
    after = glide(changed(of, [cut(band)]), direction, force_n)
    assert not after.converged or after.along_m >= glide(of, direction, force_n).along_m - 1e-7
