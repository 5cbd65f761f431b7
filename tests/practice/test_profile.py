"""The layout as a host would type it follows the instrument's own numbers."""

from ruamel.yaml import YAML

from edgeshift.practice.beamline import Beamline
from edgeshift.practice.profile import profile_text
from edgeshift.recipe.beamline import BeamlineProfile


def test_the_profile_follows_the_instrument():
    beamline = Beamline(mesh_dark_volt=0.25, drain_dark_amp=-3.0e-12, dead_time_s=2.5e-6)
    said = YAML(typ="safe", pure=True).load(profile_text(beamline))["beamline"]
    channels = {channel.role: channel for channel in BeamlineProfile.model_validate(said).channels}
    assert channels["i0"].offset == 0.25
    assert channels["electron-yield"].offset == -3.0e-12
    assert channels["electron-yield"].sign == -1
    assert channels["fluorescence"].dead_time_s == 2.5e-6
