"""Solves the scenarios with ngspice, one operating point each.

The networks hold resistances only, so the real and the imaginary part of each phasor live in two copies of
the network. Constant-power loads couple the copies: behavioural current sources state I = conj(S / V), and
ngspice's own Newton iteration does the rest. Nothing is iterated here.

Every conductor carries a 0 V source as its ammeter.
"""

import cmath
import math
import subprocess
import tempfile
from pathlib import Path

from network import ANGLES, TIED_AT_SOURCE, conductor_ohms, reactive_watts, source_ohms, volts_to_star_point

# Newton's last step is smaller than this; the error left is of the order of its square. Tighter settings
# ask for less than the rounding of a 64-bit number and never converge.
OPTIONS = ".options reltol=1e-10 abstol=1e-9 vntol=1e-9"
PARTS = ("r", "i")


class Netlist:
    """Lines of a netlist; nodes are numbered so that no name of a scenario reaches ngspice."""

    def __init__(self, title):
        self.title = title
        self.lines = [f"* {title}"]
        self.count = 0

    def node(self):
        self.count += 1
        return f"n{self.count}_"

    def resistor(self, a, b, ohms):
        self.count += 1
        for part in PARTS:
            self.lines.append(f"R{self.count}{part} {tied(a, part)} {tied(b, part)} {ohms!r}")

    def voltage(self, a, b, phasor):
        """An ideal source from b to a; returns the name under which its current is read."""
        self.count += 1
        for part, value in zip(PARTS, (phasor.real, phasor.imag)):
            self.lines.append(f"V{self.count}{part} {tied(a, part)} {tied(b, part)} DC {value!r}")
        return f"v{self.count}"

    def conductor(self, near, ohms):
        """A metered resistance from a node; returns its far node and its ammeter."""
        middle, far = self.node(), self.node()
        meter = self.voltage(near, middle, 0j)
        self.resistor(middle, far, ohms)
        return far, meter

    def load(self, a, b, watts, var, guess):
        """A constant power between two nodes; `guess` starts Newton's iteration at no load."""
        self.count += 1
        re, im = f"(V({a}r)-V({b}r))", f"(V({a}i)-V({b}i))"
        square = f"({re}^2+{im}^2)"
        self.lines.append(f"B{self.count}r {a}r {b}r I=({watts!r}*{re}+{var!r}*{im})/{square}")
        self.lines.append(f"B{self.count}i {a}i {b}i I=({watts!r}*{im}-{var!r}*{re})/{square}")
        for node, phasor in zip((a, b), guess):
            self.lines.append(f".nodeset v({node}r)={phasor.real!r} v({node}i)={phasor.imag!r}")


def tied(node, part):
    """The node's copy in the real or the imaginary network; the star point is node 0 of both."""
    return "0" if node == "0" else node + part


def phasor_of(supply, line):
    return cmath.rect(volts_to_star_point(supply), math.radians(ANGLES[supply["system"]][line]))


def place(net, scenario):
    """Adds a scenario to the netlist; returns where its results will be read."""
    lines = {}  # (supply, pole) -> node of the source
    for name, supply in scenario["supplies"].items():
        for line in ANGLES[supply["system"]]:
            node = net.node()
            net.voltage(node, "0", phasor_of(supply, line))
            if source_ohms(supply):
                inner, node = node, net.node()
                net.resistor(inner, node, source_ohms(supply))
            lines[name, line] = node
    probes = {"circuits": {}, "cords": {}, "faults": {}}
    for name, circuit in scenario["circuits"].items():
        probes["circuits"][name] = {
            pole: net.conductor(
                "0" if pole in TIED_AT_SOURCE else lines[circuit["supply"], pole],
                conductor_ohms(circuit, pole),
            )
            for pole in circuit["poles"]
        }
    for kind in ("cords", "faults"):
        for name, cord in scenario.get(kind, {}).items():
            pdu = probes["circuits"][cord["circuit"]]
            ends = [net.conductor(pdu[pole][0], conductor_ohms(cord, pole)) for pole in cord["between"]]
            (a, meter), (b, _) = ends
            if kind == "faults":
                net.voltage(a, b, 0j)
            else:
                supply = scenario["supplies"][scenario["circuits"][cord["circuit"]]["supply"]]
                guess = [0j if pole == "N" else phasor_of(supply, pole) for pole in cord["between"]]
                net.load(a, b, float(cord["watts"]), reactive_watts(cord), guess)
            probes[kind][name] = (a, b, meter)
    return probes


def run(net):
    """Runs ngspice; returns every node voltage and source current by name."""
    with tempfile.TemporaryDirectory() as folder:
        netlist, raw = Path(folder, "net.cir"), Path(folder, "net.raw")
        control = [".control", "set filetype=ascii", "op", f"write {raw} all", "quit", ".endc", ".end"]
        netlist.write_text("\n".join(net.lines + [OPTIONS] + control) + "\n")
        said = subprocess.run(["ngspice", "-n", "-b", netlist], capture_output=True, text=True, check=False)
        if not raw.exists():
            raise RuntimeError(f"{net.title}: ngspice found no operating point\n{said.stderr[-1000:]}")
        head, values = raw.read_text().split("Values:\n")
    names = [line.split()[1] for line in head.split("Variables:\n")[1].splitlines() if line.strip()]
    return dict(zip(names, map(float, values.split()[1:]), strict=True))


def solve_one(scenario):
    net = Netlist(scenario["name"])
    probes = place(net, scenario)
    read = run(net)

    def volts(node):
        return complex(read[f"v({node}r)"], read[f"v({node}i)"])

    def amperes(meter):
        return complex(read[f"i({meter}r)"], read[f"i({meter}i)"])

    return {
        "circuits": {
            name: {
                "amperes": {pole: amperes(meter) for pole, (_, meter) in poles.items()},
                "volts": {pole: volts(node) for pole, (node, _) in poles.items()},
            }
            for name, poles in probes["circuits"].items()
        },
        "cords": {
            name: {"amperes": amperes(meter), "volts": volts(a) - volts(b)}
            for name, (a, b, meter) in probes["cords"].items()
        },
        "faults": {name: {"amperes": amperes(meter)} for name, (_, _, meter) in probes["faults"].items()},
    }


def solve(scenarios):
    """Currents and voltages of every scenario, as complex numbers."""
    return {scenario["name"]: solve_one(scenario) for scenario in scenarios}


def version():
    said = subprocess.run(["ngspice", "--version"], capture_output=True, text=True, check=True).stdout
    return next(word for word in said.split() if word.startswith("ngspice-")).removeprefix("ngspice-")
