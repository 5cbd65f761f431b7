import numpy as np
from invented import ENERGY, passed, scan

from edgeshift.records.flags import BY_CODE
from edgeshift.reduction.raw_curve import raw_curve


def rated(energy, signal, flags):
    made = passed(scan("scan-001", signal, energy_ev=energy))
    made.rates.update({"electron-yield": signal, "i0": np.full(signal.size, 2.0)})
    made.flags[:] = flags
    return raw_curve(made)


def test_energies_rise_and_rows_tell_where_each_point_stood():
    found = rated(ENERGY[:4][::-1].copy(), np.array([2.0, 4.0, 6.0, 8.0]), 0)
    assert found.value.tolist() == [4.0, 3.0, 2.0, 1.0] and found.rows.tolist() == [3, 2, 1, 0]
    assert (np.diff(found.energy_ev) > 0).all()


def test_of_several_rows_at_one_energy_the_first_usable_one_stands():
    spike = BY_CODE["spike"].bit
    found = rated(np.array([1.0, 2.0, 2.0, 2.0]), np.array([2.0, 4.0, 6.0, 8.0]), [0, spike, 0, 0])
    assert found.value.tolist() == [1.0, 3.0] and found.rows.tolist() == [0, 2]
