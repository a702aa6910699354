"""Solves the scenarios with the OpenDSS engine, one circuit each.

Conductors are single-phase lines with a resistance only, loads are constant power (model 1) at any voltage,
and sources are as stiff as the engine allows.
"""

import opendssdirect
from opendssdirect import dss

from network import ANGLES, TIED_AT_SOURCE, conductor_ohms, source_ohms, volts_to_star_point

NODE = {"L1": 1, "L2": 2, "L3": 3, "N": 4, "PE": 5}
STIFF = "R1=1e-9 X1=0 R0=1e-9 X0=0"


def line(name, near, far, ohms):
    """One conductor: no reactance, no capacitance."""
    dss(f"New Line.{name} phases=1 bus1={near} bus2={far} rmatrix=[{ohms!r}] xmatrix=[0] cmatrix=[0] length=1")


def build_sources(scenario):
    first = True
    for name, supply in scenario["supplies"].items():
        for pole, degrees in ANGLES[supply["system"]].items():
            inner = f"inner_{name}.{NODE[pole]}"
            outer = f"supply_{name}.{NODE[pole]}"
            element = "Circuit.reference" if first else f"Vsource.{name}_{pole}"
            kilovolts = volts_to_star_point(supply) / 1000.0
            bus = inner if source_ohms(supply) else outer
            dss(f"New {element} phases=1 bus1={bus} basekv={kilovolts!r} pu=1 angle={degrees!r} {STIFF}")
            if source_ohms(supply):
                line(f"source_{name}_{pole}", inner, outer, source_ohms(supply))
            first = False


def build(scenario):
    dss("Clear")
    # Before the circuit: otherwise every voltage is zero while the engine reports convergence.
    dss("Set DefaultBaseFrequency=50")
    build_sources(scenario)
    for name, circuit in scenario["circuits"].items():
        for pole in circuit["poles"]:
            near = "supply_x.0" if pole in TIED_AT_SOURCE else f"supply_{circuit['supply']}.{NODE[pole]}"
            line(f"circuit_{name}_{pole}", near, f"pdu_{name}.{NODE[pole]}", conductor_ohms(circuit, pole))
    for kind in ("cords", "faults"):
        for name, cord in scenario.get(kind, {}).items():
            for end, pole in enumerate(cord["between"], start=1):
                near = f"pdu_{cord['circuit']}.{NODE[pole]}"
                # A bolted fault joins the far ends. The engine's own fault element is a huge conductance
                # whose rounding would show.
                far = f"end_{name}.{1 if kind == 'faults' else end}"
                line(f"{kind}_{name}_{end}", near, far, conductor_ohms(cord, pole))
    for name, cord in scenario.get("cords", {}).items():
        # `delta` is a load between two nodes; `wye` would add a stray admittance to earth.
        dss(
            f"New Load.{name} phases=1 conn=delta bus1=end_{name}.1.2 model=1 kV=0.2 "
            f"kW={cord['watts'] / 1000.0!r} pf={cord['pf']!r} vminpu=0.01 vmaxpu=100"
        )
    dss("Set mode=snapshot controlmode=off tolerance=1e-12 maxiterations=1000")
    dss("Solve")
    if not dss.Solution.Converged():
        raise RuntimeError(f"{scenario['name']}: the OpenDSS engine did not converge")


def line_amperes(name):
    if dss.Circuit.SetActiveElement(f"Line.{name}") < 0:
        raise RuntimeError(f"no line {name}")
    return complex(*dss.CktElement.Currents()[:2])


def node_volts(bus):
    """Voltage of each node of a bus to the star point."""
    if dss.Circuit.SetActiveBus(bus) < 0:
        raise RuntimeError(f"no bus {bus}")
    flat = dss.Bus.Voltages()
    return {node: complex(flat[2 * i], flat[2 * i + 1]) for i, node in enumerate(dss.Bus.Nodes())}


def solve_one(scenario):
    build(scenario)
    result = {"circuits": {}, "cords": {}, "faults": {}}
    for name, circuit in scenario["circuits"].items():
        volts = node_volts(f"pdu_{name}")
        result["circuits"][name] = {
            "amperes": {pole: line_amperes(f"circuit_{name}_{pole}") for pole in circuit["poles"]},
            "volts": {pole: volts[NODE[pole]] for pole in circuit["poles"]},
        }
    for name in scenario.get("cords", {}):
        volts = node_volts(f"end_{name}")
        if abs(volts[1] - volts[2]) < 1.0:
            raise RuntimeError(f"{scenario['name']}: no voltage at {name}, the engine solved nothing")
        result["cords"][name] = {"amperes": line_amperes(f"cords_{name}_1"), "volts": volts[1] - volts[2]}
    for name in scenario.get("faults", {}):
        result["faults"][name] = {"amperes": line_amperes(f"faults_{name}_1")}
    return result


def solve(scenarios):
    """Currents and voltages of every scenario, as complex numbers."""
    return {scenario["name"]: solve_one(scenario) for scenario in scenarios}


def version():
    return f"{opendssdirect.__version__} ({dss.Basic.Version().splitlines()[0].strip()})"
