"""Computes every worked example from the formula of its kind, and says which do not come out.

`cord-ampacity-table` is a look-up, not a formula: such examples are counted as not computed.
"""

import cmath
import math
import sys
from pathlib import Path

import yaml

SQRT3 = math.sqrt(3.0)


def three_phase_lines(amperes, power_factors):
    """Line currents of delta branches; each branch lags its voltage by its own angle."""
    angles = {"L1-L2": 30.0, "L2-L3": -90.0, "L3-L1": 150.0}
    branch = {
        pair: cmath.rect(size, math.radians(angles[pair]) - math.acos(power_factors[pair]))
        for pair, size in amperes.items()
    }
    return {
        "amperes": {
            "L1": abs(branch["L1-L2"] - branch["L3-L1"]),
            "L2": abs(branch["L2-L3"] - branch["L1-L2"]),
            "L3": abs(branch["L3-L1"] - branch["L2-L3"]),
        }
    }


def neutral(amperes):
    angles = {"L1": 0.0, "L2": -120.0, "L3": 120.0}
    total = sum(cmath.rect(size, math.radians(angles[line])) for line, size in amperes.items())
    return {"amperes": abs(total)}


def ambient_factor(conductor_celsius, base_celsius, ambient_celsius):
    """Rounded to two places, as it stands in the tables."""
    return round(math.sqrt((conductor_celsius - ambient_celsius) / (conductor_celsius - base_celsius)), 2)


def ambient_series(table_amperes, conductor_celsius, base_celsius, ambient_celsius):
    factors = [ambient_factor(conductor_celsius, base_celsius, ambient) for ambient in ambient_celsius]
    return {"amperes": [table_amperes * factor for factor in factors]}


def ambient_and_factors(table_amperes, conductor_celsius, base_celsius, ambient_celsius, factors):
    ambient = ambient_factor(conductor_celsius, base_celsius, ambient_celsius)
    return {"amperes": table_amperes * ambient * math.prod(factors)}


def continuous(continuous_amperes, other_amperes):
    return {"device-amperes": 1.25 * continuous_amperes + other_amperes}


def voltage_drop_mv(millivolts_per_ampere_metre, amperes, metres):
    return {"volts": millivolts_per_ampere_metre * amperes * metres / 1000.0}


def voltage_drop_k(k_ohm_circular_mils_per_foot, amperes, feet, circular_mils, volts):
    drop = 2.0 * k_ohm_circular_mils_per_foot * amperes * feet / circular_mils
    return {"volts": drop, "percent": 100.0 * drop / volts}


def overload_coordination(device_amperes, conventional_tripping_factor, cable_amperes):
    tripping, limit = conventional_tripping_factor * device_amperes, 1.45 * cable_amperes
    fits = device_amperes <= cable_amperes and tripping <= limit
    return {"tripping-amperes": tripping, "limit-amperes": limit, "coordinated": fits}


def branch_current(volts, ohms, impedance_degrees):
    current = volts / cmath.rect(ohms, math.radians(impedance_degrees))
    return {"real-amperes": current.real, "imaginary-amperes": current.imag, "amperes": abs(current)}


def three_phase_capacity(line_to_line_volts, rating_amperes, share):
    amperes = rating_amperes * share
    return {"amperes": amperes, "kilovolt-amperes": SQRT3 * line_to_line_volts * amperes / 1000.0}


def zs_limit(volts, minimum_voltage_factor, trip_multiple, device_amperes):
    return {"ohms": [minimum_voltage_factor * volts / (trip_multiple * rated) for rated in device_amperes]}


def withstand_time(k, square_millimetres, amperes):
    return {"milliseconds": 1000.0 * (k * square_millimetres / amperes) ** 2}


def diameter_mm(gauge):
    return 0.127 * 92.0 ** ((36 - gauge) / 39)


def awg_area(gauge_awg):
    return {"square-millimetres": [math.pi / 4.0 * diameter_mm(gauge) ** 2 for gauge in gauge_awg]}


FORMULAS = {
    "ampacity-times-factor": lambda table_amperes, factors: {"amperes": table_amperes * math.prod(factors)},
    "ambient-series": ambient_series,
    "ambient-and-factors": ambient_and_factors,
    "required-tabulated-current": lambda device_amperes, factors: {"amperes": device_amperes / math.prod(factors)},
    "design-current": lambda watts, volts, power_factor: {"amperes": watts / (volts * power_factor)},
    "overload-coordination": overload_coordination,
    "continuous": continuous,
    "continuous-share": lambda rating_amperes, share: {"amperes": rating_amperes * share},
    "three-phase-lines": three_phase_lines,
    "branch-current": branch_current,
    "neutral": neutral,
    "three-phase-capacity": three_phase_capacity,
    "voltage-drop-mv": voltage_drop_mv,
    "voltage-drop-k": voltage_drop_k,
    "fault-current": lambda volts, ohms: {"amperes": volts / ohms},
    "adiabatic-section": lambda amperes, seconds, k: {"square-millimetres": math.sqrt(amperes**2 * seconds) / k},
    "withstand-time": withstand_time,
    "zs-limit": zs_limit,
    "awg-diameter": lambda gauge_awg: {"millimetres": [diameter_mm(gauge) for gauge in gauge_awg]},
    "awg-area": awg_area,
    "resistance-per-length": lambda ohms_per_1000_feet: {"ohms-per-kilometre": ohms_per_1000_feet / 0.3048},
}
LOOKED_UP = {"cord-ampacity-table"}


def near(made, printed, within):
    """Whether a computed answer lands on the printed one; lists and maps member by member."""
    if isinstance(printed, bool):
        return made is printed
    if isinstance(printed, dict):
        return made.keys() == printed.keys() and all(near(made[key], printed[key], within) for key in printed)
    if isinstance(printed, list):
        return len(made) == len(printed) and all(near(*pair, within) for pair in zip(made, printed))
    return abs(made - printed) <= within


def same(made, printed, within):
    return made.keys() == printed.keys() and all(near(made[key], printed[key], within.get(key)) for key in printed)


def compute(example):
    inputs = {key.replace("-", "_"): value for key, value in example["inputs"].items()}
    return FORMULAS[example["kind"]](**inputs)


def faults(book):
    """Yields what is wrong with the collection."""
    entries = book["examples"] + book["traps"]
    ids = [entry["id"] for entry in entries]
    yield from (f"{name} is used twice" for name in sorted({name for name in ids if ids.count(name) > 1}))
    for entry in entries:
        if entry["kind"] in LOOKED_UP:
            continue
        made, right = compute(entry), entry.get("answer", entry.get("right"))
        if not same(made, right, entry["within"]):
            yield f"{entry['id']}: computed {made}, printed {right}"
        if "wrong" in entry and same(made, entry["wrong"], entry["within"]):
            yield f"{entry['id']}: the wrong answer comes out"


def main():
    book = yaml.safe_load((Path(__file__).resolve().parent.parent / "worked-examples.yaml").read_text())
    found = list(faults(book))
    for fault in found:
        print(fault)
    entries = book["examples"] + book["traps"]
    looked_up = sum(entry["kind"] in LOOKED_UP for entry in entries)
    computed = len(entries) - looked_up
    print(f"worked examples: {computed} computed, {len(found)} wrong; {looked_up} are look-ups and were not computed")
    sys.exit(bool(found))


if __name__ == "__main__":
    main()
