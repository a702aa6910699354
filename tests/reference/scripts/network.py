"""What both solver adapters share: the reading of a scenario, and nothing of its solution.

A scenario is data (see `../README.md`). Poles are named L1, L2, L3, N and PE; N and PE are tied to the
source's star point, which is the reference of every voltage.
"""

import math

# Angle of each line's source, in degrees. A delta supply is the star that gives the same line-to-line
# voltages; its star point is out of reach because no circuit of it has an N pole.
ANGLES = {
    "wye": {"L1": 0.0, "L2": -120.0, "L3": 120.0},
    "delta": {"L1": 0.0, "L2": -120.0, "L3": 120.0},
    "split-phase": {"L1": 0.0, "L2": 180.0},
    "single": {"L1": 0.0},
}

TIED_AT_SOURCE = ("N", "PE")


def volts_to_star_point(supply):
    """The magnitude that each line of the supply holds, in volts: nominal, less the tolerance."""
    if supply["system"] == "delta":
        nominal = supply["line_to_line_volts"] / math.sqrt(3.0)
    else:
        nominal = supply["line_to_neutral_volts"]
    return nominal * (1.0 - supply["tolerance"])


def source_ohms(supply):
    """Source impedance (resistive) from the prospective fault current; zero for an ideal source."""
    prospective = supply.get("prospective_fault_amperes")
    return volts_to_star_point(supply) / prospective if prospective else 0.0


def conductor_ohms(run, pole):
    """Resistance of one conductor of a circuit, cord or faulted cord; PE may differ from the rest."""
    return run["pe_ohms"] if pole == "PE" else run["ohms_per_conductor"]


def reactive_watts(cord):
    """Reactive power of a load with lagging power factor, in var."""
    return cord["watts"] * math.tan(math.acos(cord["pf"]))
