"""Solves decks of `cordwright trace NAME --format spice` with ngspice, and holds what comes out against the
comments that say what should.

    solve_decks.py PROGRAM SITE NAME...

Exit 1 when a value is off by more than the seven digits of the comments.
"""

import re
import struct
import subprocess
import sys
import tempfile
from pathlib import Path

# Relative to the value, but never to less than this: a neutral may cancel to nothing.
FLOORS = {"i": 0.1, "vm": 1.0}
TOLERANCE = 1e-6
EXPECTED = re.compile(r"^\* (i|vm)\(([^)]*)\) = (\S+) [AV]", re.MULTILINE)


def solve(deck):
    """Runs ngspice on a deck as it is; returns every phasor by the name ngspice gives it."""
    with tempfile.TemporaryDirectory() as folder:
        netlist, raw = Path(folder, "deck.cir"), Path(folder, "deck.raw")
        netlist.write_text(deck, encoding="ascii")
        said = subprocess.run(["ngspice", "-n", "-b", "-r", raw, netlist], capture_output=True, text=True, check=False)
        if not raw.exists():
            raise RuntimeError(f"ngspice wrote nothing\n{said.stderr[-1000:]}")
        head, values = raw.read_bytes().split(b"Binary:\n")
    names = [line.split()[1] for line in head.decode().split("Variables:\n")[1].splitlines() if line.strip()]
    numbers = struct.unpack(f"<{2 * len(names)}d", values)
    return {name: complex(*pair) for name, pair in zip(names, zip(numbers[::2], numbers[1::2], strict=True), strict=True)}


def value(kind, words, phasors):
    if kind == "i":
        return abs(phasors[f"i({words.lower()})"])
    return abs(sum(sign * phasors[f"v({node})"] for sign, node in zip((1, -1), words.split(","))))


def differences(deck):
    phasors = solve(deck)
    for kind, words, expected in EXPECTED.findall(deck):
        found = value(kind, words, phasors)
        yield abs(found - float(expected)) / max(found, FLOORS[kind])


def main(program, site, names):
    count, largest = 0, 0.0
    for name in names:
        words = [program, "trace", "--format", "spice", "--", name, site]
        deck = subprocess.run(words, capture_output=True, text=True, check=True).stdout
        off = list(differences(deck))
        print(f"{name}: {len(off)} values, {max(off):.1e} at most")
        count, largest = count + len(off), max(largest, *off)
    print(f"{len(names)} decks, {count} values: {largest:.1e} at most")
    return largest > TOLERANCE


if __name__ == "__main__":
    sys.exit(main(sys.argv[1], sys.argv[2], sys.argv[3:]))
