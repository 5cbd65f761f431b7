"""How to read the practice beamline's files, as a host would type it into `experiment.yaml`."""

from __future__ import annotations

from edgeshift.practice.beamline import Beamline

TEXT = """\
beamline:
  name: practice beamline (invented)
  energy: {{column: energy, unit: eV}}
  channels:
    - {{role: i0, columns: [mesh], unit: V, offset: {mesh_dark_volt}, ceiling: 10.0}}
    - role: electron-yield
      columns: [drain]
      unit: A
      sign: -1
      offset: {drain_dark_amp:.2e}
      ceiling: -2.0e-09
    - {{role: fluorescence, columns: [fluo], unit: counts, dead_time_s: {dead_time_s:.2e}}}
  signal: electron-yield
  dwell_column: dwell
  clock_column: clock
  injections_key: injections
  start_key: start
  end_key: end
  zone: "+01:00"
  points_key: points
  edge_key: edge
  place: {{specimen_key: specimen, spot_key: spot}}
  incidence_deg: 45
  exit_deg: 45
  flux_per_s: 1.0e+11
  beam_mm2: 10.0
  resolving_power: 2000
"""


def profile_text(beamline: Beamline) -> str:
    """The `beamline:` part of an experiment text for this instrument."""
    return TEXT.format(
        mesh_dark_volt=beamline.mesh_dark_volt,
        drain_dark_amp=beamline.drain_dark_amp,
        dead_time_s=beamline.dead_time_s,
    )
