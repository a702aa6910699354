"""Checks that a solver's answer obeys the laws of the network, whatever found it.

Ohm and Kirchhoff along every conductor, the stated power at every load, and a closed solution where one exists.
"""

import cmath
import math

from network import ANGLES, TIED_AT_SOURCE, conductor_ohms, reactive_watts, source_ohms, volts_to_star_point

LIMIT = 1e-8  # of the source's volts, of the load's power, or of an ampere


def residuals(scenario, result):
    """Yields (what, relative error) for every law that the scenario gives."""
    cords = {**scenario.get("cords", {}), **scenario.get("faults", {})}
    answers = {**result["cords"], **result["faults"]}
    for name, circuit in scenario["circuits"].items():
        supply, answer = scenario["supplies"][circuit["supply"]], result["circuits"][name]
        drawn = dict.fromkeys(circuit["poles"], 0j)
        for key, cord in cords.items():
            if cord["circuit"] == name:
                drawn[cord["between"][0]] += answers[key]["amperes"]
                drawn[cord["between"][1]] -= answers[key]["amperes"]
        for pole in circuit["poles"]:
            volts, ohms = 0j, conductor_ohms(circuit, pole)
            if pole not in TIED_AT_SOURCE:
                volts = cmath.rect(volts_to_star_point(supply), math.radians(ANGLES[supply["system"]][pole]))
                ohms += source_ohms(supply)
            current = answer["amperes"][pole]
            yield f"{name} {pole} current", abs(current - drawn[pole]) / max(1.0, abs(current))
            lost = volts - ohms * current - answer["volts"][pole]
            yield f"{name} {pole} voltage", abs(lost) / volts_to_star_point(supply)
    for key, cord in cords.items():
        supply = scenario["supplies"][scenario["circuits"][cord["circuit"]]["supply"]]
        a, b = (result["circuits"][cord["circuit"]]["volts"][pole] for pole in cord["between"])
        ohms = sum(conductor_ohms(cord, pole) for pole in cord["between"])
        volts = answers[key].get("volts", 0j)  # nothing is left across a bolted fault
        yield f"{key} voltage", abs(a - b - ohms * answers[key]["amperes"] - volts) / volts_to_star_point(supply)
        if "watts" in cord:
            power = complex(cord["watts"], reactive_watts(cord))
            yield f"{key} power", abs(volts * answers[key]["amperes"].conjugate() - power) / abs(power)


def closed_solution(scenarios, results):
    """One load of unity power factor behind R: V = (U + sqrt(U² − 4RP)) / 2. Returns the relative error."""
    scenario = next(made for made in scenarios if made["name"] == "single-230")
    cord = scenario["cords"]["w04"]
    ohms = 2.0 * (cord["ohms_per_conductor"] + scenario["circuits"]["b"]["ohms_per_conductor"])
    source = volts_to_star_point(scenario["supplies"]["s"])
    exact = (source + math.sqrt(source**2 - 4.0 * ohms * cord["watts"])) / 2.0
    return abs(results["single-230"]["cords"]["w04"]["volts"] - exact) / exact


def check(scenarios, results, solver):
    """Stops with the first law that is broken; returns the largest residual."""
    worst = closed_solution(scenarios, results)
    if worst > LIMIT:
        raise SystemExit(f"{solver}: the closed solution is missed by {worst:.1e}")
    for scenario in scenarios:
        for what, error in residuals(scenario, results[scenario["name"]]):
            if not error <= LIMIT:
                raise SystemExit(f"{solver}: {scenario['name']}: {what} is off by {error:.1e}")
            worst = max(worst, error)
    return worst
