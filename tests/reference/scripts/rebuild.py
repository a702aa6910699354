"""Makes `scenarios.json` and `expected.json` anew and compares them with the ones kept.

    rebuild.py            compare only; exit 1 when they differ
    rebuild.py --write    put the new ones in place
"""

import json
import math
import sys
from pathlib import Path

import laws
import make_scenarios
import with_ngspice
import with_opendss

FOLDER = Path(__file__).resolve().parent.parent
SOLVERS = {"ngspice": with_ngspice, "opendss": with_opendss}

# How far the two solvers may be apart, and how far a rebuilt file from the one kept (last rounded digit).
LIMITS = {"amperes": 1e-5, "volts": 1e-6}
SAME = 2e-8
# Differences are relative to the value, but never to less than this: a neutral may cancel to nothing.
FLOORS = {"amperes": 0.1, "volts": 1.0}


def leaves(tree, path=()):
    """Every phasor of a result with its path; the quantity is the path's `amperes` or `volts`."""
    if isinstance(tree, dict):
        for key, branch in tree.items():
            yield from leaves(branch, (*path, key))
    else:
        yield path, complex(*tree[:2]) if isinstance(tree, list) else tree


def difference(path, one, other):
    quantity = "amperes" if "amperes" in path else "volts"
    return quantity, abs(one - other) / max(abs(one), FLOORS[quantity])


def apart(one, other):
    """The largest difference of two results, for currents and for voltages."""
    worst = {"amperes": 0.0, "volts": 0.0}
    others = dict(leaves(other))
    for path, value in leaves(one):
        quantity, size = difference(path, value, others.pop(path))
        worst[quantity] = max(worst[quantity], size)
    if others:
        raise SystemExit(f"values without a counterpart: {sorted(others)[:3]}")
    return worst


def agreement(scenarios, results):
    """The agreement table: a row for each named scenario and one for all random ones."""
    table = {}
    for name in (scenario["name"] for scenario in scenarios):
        worst = apart(*(results[solver][name] for solver in SOLVERS))
        row = table.setdefault("random" if name.startswith("random-") else name, {"amperes": 0.0, "volts": 0.0})
        for quantity, size in worst.items():
            row[quantity] = max(row[quantity], size)
            if size > LIMITS[quantity]:
                raise SystemExit(f"{name}: the solvers differ by {size:.1e} in {quantity}")
    return table


def rounded(phasor):
    """[real, imaginary, magnitude] to nine significant digits of the magnitude, never finer than 1e-9."""
    size = abs(phasor)
    digits = 9 if size < 1e-9 else min(9, 8 - math.floor(math.log10(size)))
    return [round(part, digits) + 0.0 for part in (phasor.real, phasor.imag, size)]


def as_lines(tree, depth):
    """JSON with one line for each circuit, cord and fault."""
    if depth == 0:
        return json.dumps(tree, separators=(",", ":"))
    rows = ",\n".join(f"{json.dumps(key)}: {as_lines(branch, depth - 1)}" for key, branch in tree.items())
    return "{\n" + rows + "\n}"


def round_all(tree):
    if isinstance(tree, dict):
        return {key: round_all(branch) for key, branch in tree.items() if branch != {}}
    return rounded(tree)


def as_text(table, results):
    made_with = {solver: module.version() for solver, module in SOLVERS.items()}
    short = {name: {key: float(f"{size:.1e}") for key, size in row.items()} for name, row in table.items()}
    kept = {"made_with": made_with, "agreement": short, "limits": LIMITS, "floors": FLOORS}
    head = ",\n".join(f"{json.dumps(key)}: {as_lines(value, 1)}" for key, value in kept.items())
    return "{\n" + head + ',\n"results": ' + as_lines(results, 4) + "\n}\n"


def compare(scenarios_text, expected_text):
    """Says how far the rebuilt files are from the ones kept."""
    if (FOLDER / "scenarios.json").read_text() != scenarios_text:
        raise SystemExit("scenarios.json is not what make_scenarios.py makes")
    kept, made = json.loads((FOLDER / "expected.json").read_text()), json.loads(expected_text)
    worst = apart(kept["results"], made["results"])
    print(f"largest difference from the kept values: currents {worst['amperes']:.1e}, voltages {worst['volts']:.1e}")
    if max(worst.values()) > SAME:
        raise SystemExit("expected.json differs from what the solvers say")


def main():
    scenarios = make_scenarios.all_scenarios()
    results = {solver: module.solve(scenarios) for solver, module in SOLVERS.items()}
    for solver, result in results.items():
        print(f"{solver}: all laws hold, largest residual {laws.check(scenarios, result, solver):.1e}")
    table = agreement(scenarios, results)
    for name, row in table.items():
        print(f"{name:26} currents {row['amperes']:.1e}  voltages {row['volts']:.1e}")
    texts = make_scenarios.as_text(scenarios), as_text(table, round_all(results))
    if sys.argv[1:] == ["--write"]:
        for name, text in zip(("scenarios.json", "expected.json"), texts):
            (FOLDER / name).write_text(text)
    else:
        compare(*texts)


if __name__ == "__main__":
    main()
