"""Permeances of chosen reluctance rotors by a second route: finite elements over the rotor the search found.

The dense search of test_optimum takes the permeances of the laws; here the torque of its winners is worked out again
from finite elements alone, over the unrolled rotor.
"""

import numpy as np
import pytest
from finite_elements_saliency import barriers, permeance, salient

from scaling import Brief, choose
from scaling.decision.curve import remade
from scaling.ground import materials
from scaling.ground.constants import VALUES
from scaling.machines.reluctance import FORMS, barred_rotor

DESIGNS = [
    ("salient", {"rotor_diameter": "2 mm"}),
    ("salient", {"rotor_diameter": "20 mm", "cooling": "water"}),
    ("salient", {"rotor_diameter": "100 mm", "cooling": "water", "self_starting": True, "load_inertia_ratio": 0.0}),
    ("salient", {"rotor_diameter": "300 mm", "supply_frequency": ("20 Hz", "400 Hz")}),
    ("flux barriers", {"rotor_diameter": "100 mm", "cooling": "shaft fan"}),
    ("flux barriers", {"rotor_diameter": "200 mm", "cooling": "water"}),
    ("flux barriers", {"rotor_diameter": "500 mm", "supply_frequency": ("20 Hz", "400 Hz")}),
]
# What the laws say of themselves: P_d 0-3.5 % high, P_q within 1.2 % of salient poles, both within 1 % of barriers
# (three and more); the torque goes with their difference, so a part of P_d is more of it where P_q is large.
OFF = {"salient": 0.035, "flux barriers": 0.01}


@pytest.mark.parametrize(("form", "given"), DESIGNS)
def test_torque_from_finite_elements_is_that_of_the_laws(form, given):
    brief = Brief(**{"gap_floor": "20 um", "self_starting": False, "reluctance_rotor": form} | given)
    choice = choose(brief)
    point = remade(choice, "reluctance")
    st, op, si = point.stator, point.operation, brief.si
    arc, share = (np.asarray(op.form[name]).item() for name in ("pole_arc", "barrier_share"))
    tau, gap, k = st.tau.item(), st.slotted_gap.item(), st.k.item()
    ribs = 0.0
    if form == "salient":
        depth = st.unrolled(op.thickness).item()
        rotor = salient(gap=gap / tau, depth=depth / tau, arc=arc)
    else:
        rib, number = (x.item() for x in barred_rotor(si, st.D, np.pi * st.D / (2 * st.p), share))
        rotor = barriers(gap=gap / tau, number=int(number), share=share)
        # The gap field of what they let past, by reciprocity with the potential of the innermost iron.
        ribs = 4 * materials.RIB_FIELD * rib / tau * permeance(rotor, "q").segments[0]
    P_d, P_q = (permeance(rotor, axis).value for axis in "dq")
    A, delta, smooth = op.ideal_loading.item(), op.load_angle.item(), VALUES["mu_0"] / np.tanh(k * gap)
    # The current sheet in the field of either axis; the ribs' flux lies in the q axis, as far as it is not iron's own.
    stress = A / 2 * np.cos(delta) * ((P_d - P_q) * smooth * A * np.sin(delta) - ribs)
    assert choice["reluctance"].material == FORMS[form]
    assert op.shear.item() == pytest.approx(stress, rel=OFF[form] * P_d / (P_d - P_q))
    assert permeance(rotor, "d").error < 2e-3
