"""Pedals, levers and hydraulics: what the foot feels of the load at the release bearing."""

from __future__ import annotations

from math import pi
from typing import Annotated

from buildlog.diagnostics import OutOfRange
from buildlog.physics.declared import Variable, product_of, ratio_of
from buildlog.physics.limits import not_negative, positive, within

lever_load = product_of(
    "lever_load",
    "Clamp load that a release load just lifts off, through the levers or fingers of the cover.",
    release_load=Variable("F_r", "N", "load at the release bearing", positive),
    lever_ratio=Variable("i_s", "1", "lever ratio", positive),
    gives=Variable("F", "N", "clamp load"),
    order=("lever_ratio", "release_load"),
    source="equilibrium of the lever, without friction",
)

release_load = ratio_of(
    "release_load",
    "Load at the release bearing that just lifts the clamp load off.",
    clamp_load=Variable("F", "N", "clamp load", positive),
    lever_ratio=Variable("i_s", "1", "lever ratio", positive),
    gives=Variable("F_r", "N", "release load"),
    source="equilibrium of the lever, without friction",
)


def master_area(master_bore: Annotated[float, "d_m", "m"]) -> Annotated[float, "A_m", "m²"]:
    """Piston area of the master cylinder.

    Formula: A_m = π d_m² / 4. Symbols: d_m bore (m), A_m area (m²).
    Range: d_m positive. Errors: `OutOfRange`. Source: geometry.
    """
    positive("master_bore", master_bore)
    return pi * master_bore**2 / 4


def slave_area(
    slave_bore: Annotated[float, "d_s", "m"],
    slave_sleeve: Annotated[float, "d_i", "m"],
) -> Annotated[float, "A_s", "m²"]:
    """Piston area of the slave cylinder; of a concentric one the ring around its sleeve.

    Formula: A_s = π (d_s² - d_i²) / 4. Symbols: d_s bore (m), d_i diameter of the sleeve on which a ring
    piston slides (m; 0 for a plain piston), A_s area (m²).
    Range: d_s positive, d_i from 0 to below d_s. Errors: `OutOfRange`. Source: geometry.
    """
    positive("slave_bore", slave_bore)
    not_negative("slave_sleeve", slave_sleeve)
    if slave_sleeve >= slave_bore:
        raise OutOfRange(
            "slave_sleeve", f"{slave_sleeve * 1000:g} mm", f"less than the bore, {slave_bore * 1000:g} mm"
        )
    return pi * (slave_bore**2 - slave_sleeve**2) / 4


hydraulic_ratio = ratio_of(
    "hydraulic_ratio",
    "Force ratio of a master and a slave cylinder: master travel over slave travel.",
    slave_area=Variable("A_s", "m²", "piston area of the slave", positive),
    master_area=Variable("A_m", "m²", "piston area of the master", positive),
    gives=Variable("i_h", "1", "ratio"),
    note="fluid and hose taken as rigid",
    source="equal pressure and equal volume (Pascal's law)",
)

linkage_ratio = product_of(
    "linkage_ratio",
    "Pedal travel over release bearing travel.",
    pedal_ratio=Variable("i_p", "1", "pedal lever ratio", positive),
    hydraulic_ratio=Variable("i_h", "1", "hydraulic ratio, 1 for a cable or a rod", positive),
    fork_ratio=Variable("i_f", "1", "fork lever ratio, 1 for a concentric slave", positive),
    gives=Variable("i_l", "1", "linkage ratio"),
    source="kinematics",
)


def pedal_force(
    release_load: Annotated[float, "F_r", "N"],
    linkage_ratio: Annotated[float, "i_l", "1"],
    linkage_efficiency: Annotated[float, "η", "1"],
) -> Annotated[float, "F_p", "N"]:
    """Force on the pedal that holds the release bearing's load.

    Formula: F_p = F_r / (η i_l). Symbols: F_r load at the release bearing (N), i_l linkage ratio (1), η
    efficiency of the linkage (1), F_p pedal force (N).
    Range: all positive, η up to 1. Errors: `OutOfRange`. Source: work in equals work out over η.
    """
    positive("release_load", release_load)
    positive("linkage_ratio", linkage_ratio)
    within("linkage_efficiency", linkage_efficiency, 0.1, 1.0)
    return release_load / (linkage_efficiency * linkage_ratio)


def pedal_travel(
    release_travel: Annotated[float, "s_r", "m"],
    linkage_ratio: Annotated[float, "i_l", "1"],
    free_travel: Annotated[float, "s_0", "m"],
) -> Annotated[float, "s_p", "m"]:
    """Pedal travel for a travel of the release bearing.

    Formula: s_p = i_l s_r + s_0. Symbols: s_r travel of the release bearing (m), i_l linkage ratio (1),
    s_0 free travel at the pedal (m), s_p pedal travel (m).
    Range: s_r and s_0 zero or more, i_l positive; fluid and hose taken as rigid. Errors: `OutOfRange`.
    Source: kinematics.
    """
    not_negative("release_travel", release_travel)
    positive("linkage_ratio", linkage_ratio)
    not_negative("free_travel", free_travel)
    return linkage_ratio * release_travel + free_travel


def line_pressure(
    release_load: Annotated[float, "F_r", "N"],
    fork_ratio: Annotated[float, "i_f", "1"],
    slave_area: Annotated[float, "A_s", "m²"],
) -> Annotated[float, "p", "Pa"]:
    """Pressure in the line to the slave cylinder.

    Formula: p = F_r / (i_f A_s). Symbols: F_r load at the release bearing (N), i_f fork lever ratio (1),
    A_s piston area of the slave (m²), p gauge pressure (Pa).
    Range: all positive. Errors: `OutOfRange`. Source: equilibrium.
    """
    positive("release_load", release_load)
    positive("fork_ratio", fork_ratio)
    positive("slave_area", slave_area)
    return release_load / (fork_ratio * slave_area)


def crank_thrust(release_load: Annotated[float, "F_r", "N"]) -> Annotated[float, "F_a", "N"]:
    """Axial force on the crankshaft's thrust bearing while the pedal is held down.

    Formula: F_a = F_r. Symbols: F_r load at the release bearing (N), F_a axial force (N). The clamp
    load closes inside the clutch; only the release bearing's load leaves it, through the cover and the
    flywheel to the crankshaft.
    Range: F_r positive. Errors: `OutOfRange`. Source: axial equilibrium of cover, flywheel and crankshaft.
    """
    positive("release_load", release_load)
    return release_load
