"""Writes `scenarios.json`: named scenarios by hand, and random sites from a fixed seed."""

import json
import random

SEED = 20260117
RANDOM_SITES = 200


def wye(volts, tolerance=0.10):
    return {"system": "wye", "line_to_neutral_volts": volts, "tolerance": tolerance}


def delta(volts, tolerance=0.10):
    return {"system": "delta", "line_to_line_volts": volts, "tolerance": tolerance}


def split_phase(volts, tolerance=0.10):
    return {"system": "split-phase", "line_to_neutral_volts": volts, "tolerance": tolerance}


def single(volts, tolerance=0.10):
    return {"system": "single", "line_to_neutral_volts": volts, "tolerance": tolerance}


def circuit(poles, ohms, supply="s"):
    return {"supply": supply, "poles": poles.split("-"), "ohms_per_conductor": ohms}


def cord(between, watts, pf, ohms, on="a", **more):
    return {
        "circuit": on,
        "between": between.split("-"),
        "ohms_per_conductor": ohms,
        "watts": watts,
        "pf": pf,
        **more,
    }


def scenario(name, about, supplies, circuits, cords=None, faults=None):
    made = {"name": name, "about": about, "supplies": supplies, "circuits": circuits}
    if cords:
        made["cords"] = cords
    if faults:
        made["faults"] = faults
    return made


def numbered(cords):
    return {f"w{i:02}": made for i, made in enumerate(cords, start=1)}


def wye_nine_loads():
    loads = [
        ("L1-N", 2100, 0.95, 0.0350), ("L1-N", 1850, 0.99, 0.0467), ("L1-N", 900, 0.80, 0.0233),
        ("L2-N", 2400, 1.00, 0.0235), ("L2-N", 640, 0.92, 0.0350), ("L2-N", 1200, 0.97, 0.0467),
        ("L3-N", 310, 0.85, 0.0700), ("L3-N", 1500, 0.98, 0.0350), ("L3-N", 420, 0.90, 0.0233),
    ]  # fmt: skip
    return scenario(
        "wye-nine-loads",
        "32 A three-phase PDU on 400/230 V, nine unequal loads of different power factor",
        {"s": wye(230)},
        {"a": circuit("L1-L2-L3-N", 0.0869)},
        numbered(cord(*load) for load in loads),
    )


def delta_208():
    loads = [
        ("L1-L2", 1450, 0.98, 0.0188), ("L2-L3", 980, 0.95, 0.0188), ("L3-L1", 460, 0.88, 0.0298),
        ("L1-L2", 620, 0.92, 0.0298), ("L2-L3", 1130, 0.99, 0.0188), ("L3-L1", 240, 0.80, 0.0477),
    ]  # fmt: skip
    return scenario(
        "delta-208-six-loads",
        "208 V three-wire PDU without neutral, six line-to-line loads",
        {"s": delta(208)},
        {"a": circuit("L1-L2-L3", 0.0734)},
        numbered(cord(*load) for load in loads),
    )


def mixed_208_120():
    loads = [
        ("L1-L2", 1250, 0.97, 0.0188), ("L2-L3", 830, 0.90, 0.0298), ("L3-L1", 1600, 0.99, 0.0188),
        ("L1-N", 540, 0.93, 0.0298), ("L1-N", 310, 0.85, 0.0477), ("L2-N", 760, 1.00, 0.0188),
        ("L3-N", 150, 0.82, 0.0477),
    ]  # fmt: skip
    return scenario(
        "mixed-208-120",
        "line-to-line and line-to-neutral loads on one PDU, 208/120 V",
        {"s": wye(120)},
        {"a": circuit("L1-L2-L3-N", 0.0612)},
        numbered(cord(*load) for load in loads),
    )


def long_feeder():
    loads = [
        ("L1-N", 1900, 0.98, 0.0467), ("L1-N", 1500, 0.95, 0.0467),
        ("L2-N", 2400, 0.99, 0.0467), ("L3-N", 150, 0.90, 0.0350),
    ]  # fmt: skip
    return scenario(
        "long-feeder",
        "a long feeder: about 5 % drop on the heaviest line, while the lightest sits above its source",
        {"s": wye(230)},
        {"a": circuit("L1-L2-L3-N", 0.43)},
        numbered(cord(*load) for load in loads),
    )


def dual_corded(name, about, lost=None):
    """Twelve devices with a cord to each of two feeds; what survives shares the load equally."""
    watts = [420, 800, 650, 310, 1150, 540, 275, 930, 480, 720, 390, 610]
    power_factors = [0.97, 0.99, 0.95, 0.90, 0.99, 0.96, 0.88, 0.98, 0.93, 0.97, 0.92, 0.95]
    alive = [feed for feed in ("a", "b") if feed != lost]
    cords = {}
    for i, (total, pf) in enumerate(zip(watts, power_factors)):
        for feed in alive:
            ohms = 0.0350 if feed == "a" else 0.0467
            cords[f"{feed}{i + 1:02}"] = cord(
                f"L{i % 3 + 1}-N", total / len(alive), pf, ohms, on=feed, device=f"d{i + 1:02}"
            )
    return scenario(
        name,
        about,
        {feed: wye(230) for feed in ("a", "b")},
        {"a": circuit("L1-L2-L3-N", 0.0869, "a"), "b": circuit("L1-L2-L3-N", 0.1343, "b")},
        cords,
    )


def split_phase_mixed():
    loads = [
        ("L1-N", 720, 0.95, 0.0298), ("L1-N", 260, 0.85, 0.0477), ("L2-N", 480, 0.99, 0.0298),
        ("L1-L2", 1350, 0.98, 0.0188), ("L1-L2", 560, 0.90, 0.0298),
    ]  # fmt: skip
    return scenario(
        "split-phase-120-240",
        "120/240 V split phase, loads to neutral and from line to line",
        {"s": split_phase(120)},
        {"a": circuit("L1-L2-N", 0.0918)},
        numbered(cord(*load) for load in loads),
    )


def delta_240():
    loads = [
        ("L1-L2", 2100, 0.99, 0.0188), ("L2-L3", 700, 0.86, 0.0298), ("L3-L1", 1300, 0.94, 0.0188),
        ("L1-L2", 450, 0.91, 0.0477),
    ]  # fmt: skip
    return scenario(
        "delta-240",
        "240 V three-wire delta",
        {"s": delta(240)},
        {"a": circuit("L1-L2-L3", 0.0551)},
        numbered(cord(*load) for load in loads),
    )


def single_230():
    loads = [
        ("L1-N", 850, 0.98, 0.0350), ("L1-N", 620, 0.90, 0.0467), ("L1-N", 1100, 1.00, 0.0235),
    ]  # fmt: skip
    cords = numbered(cord(*load) for load in loads)
    cords["w04"] = cord("L1-N", 2000, 1.0, 0.05, on="b")
    return scenario(
        "single-230",
        "230 V single phase; circuit b has one load of unity power factor, which has a closed solution",
        {"s": single(230)},
        {"a": circuit("L1-N", 0.1590), "b": circuit("L1-N", 0.35)},
        cords,
    )


def cord_end_faults():
    """Each fault has a supply of its own, so that none lowers the voltage of another."""

    def source(volts, prospective):
        return {**single(volts, tolerance=0.0), "prospective_fault_amperes": prospective}

    def run(supply, ohms, pe_ohms):
        return {**circuit("L1-N-PE", ohms, supply), "pe_ohms": pe_ohms}

    def fault(on, between, ohms, pe_ohms):
        return {
            "circuit": on,
            "between": between.split("-"),
            "ohms_per_conductor": ohms,
            "pe_ohms": pe_ohms,
        }

    return scenario(
        "cord-end-faults",
        "bolted faults at the far end of a cord, U0 / (source + circuit + cord); cold conductors, full voltage",
        {"p": source(230, 6000), "q": source(230, 1200), "r": source(120, 10000), "s": source(230, 6000)},
        {
            "p": run("p", 0.0726, 0.0726),
            "q": run("q", 0.2594, 0.4235),
            "r": run("r", 0.0651, 0.1043),
            "s": run("s", 0.0726, 0.1090),
        },
        faults={
            "earth-fault-32-a": fault("p", "L1-PE", 0.0293, 0.0293),
            "earth-fault-long-run": fault("q", "L1-PE", 0.0780, 0.0780),
            "earth-fault-120-v": fault("r", "L1-PE", 0.0300, 0.0300),
            "line-to-neutral": fault("s", "L1-N", 0.0293, 0.0293),
        },
    )


# system, nominal volts (to neutral; a delta's from line to line), runs of poles
KINDS = [
    (wye, 230, ["L1-L2-L3-N", "L1-L2-L3-N", "L2-N", "L1-L2-L3"]),
    (wye, 120, ["L1-L2-L3-N", "L1-L2-L3-N", "L3-N", "L1-L3", "L1-L2-L3"]),
    (delta, 208, ["L1-L2-L3", "L1-L2-L3", "L2-L3"]),
    (delta, 240, ["L1-L2-L3", "L3-L1"]),
    (split_phase, 120, ["L1-L2-N", "L1-L2-N", "L1-N", "L1-L2"]),
    (single, 230, ["L1-N"]),
    (single, 120, ["L1-N"]),
]
RATINGS = [16, 20, 24, 32]
MAX_LOSS = 0.03  # of nominal volts, in one conductor at the circuit's rating


class Draw:
    """Draws from `random.random()` alone, the one method whose sequence Python promises to keep."""

    def __init__(self, seed):
        self.rng = random.Random(seed)

    def between(self, low, high):
        return low + (high - low) * self.rng.random()

    def whole(self, low, high):
        return low + int((high - low + 1) * self.rng.random())

    def one_of(self, choices):
        return choices[self.whole(0, len(choices) - 1)]


def pairs(poles):
    """Where a load can hang on a run of poles: every pair of its conductors."""
    names = poles.split("-")
    return [f"{a}-{b}" for i, a in enumerate(names) for b in names[i + 1 :]]


def random_site(draw, number):
    """One to three circuits on one or two supplies of a kind, two to twelve loads, drops up to some 6 %."""
    system, volts, runs = draw.one_of(KINDS)
    names = ["a", "b", "c"][: draw.whole(1, 3)]
    supplies = {name: system(volts, draw.one_of([0.0, 0.05, 0.06, 0.10])) for name in ("s", "t")[: draw.whole(1, 2)]}
    circuits, share = {}, {}
    loads = draw.whole(max(2, len(names)), 12)
    for i, name in enumerate(names):
        rating, poles = draw.one_of(RATINGS), draw.one_of(runs)
        ohms = draw.between(0.1, 1.0) * MAX_LOSS * volts / rating
        circuits[name] = circuit(poles, round(ohms, 5), draw.one_of(sorted(supplies)))
        mine = loads // len(names) + (1 if i < loads % len(names) else 0)
        share[name] = (mine, 0.8 * rating * volts * max(1, poles.count("L") - 1) / mine)
    cords = [
        cord(
            draw.one_of(pairs("-".join(circuits[name]["poles"]))),
            max(20, round(draw.between(0.05, 1.0) * watts)),
            round(draw.between(0.80, 1.00), 2),
            round(draw.between(0.008, 0.08), 5),
            on=name,
        )
        for name in names
        for mine, watts in [share[name]]
        for _ in range(mine)
    ]
    return scenario(f"random-{number:03}", "random site", supplies, circuits, numbered(cords))


def all_scenarios():
    draw = Draw(SEED)
    return [
        wye_nine_loads(),
        delta_208(),
        mixed_208_120(),
        long_feeder(),
        dual_corded("dual-corded-normal", "twelve devices, each half on feed a and half on feed b"),
        dual_corded("dual-corded-feed-b-lost", "the same after the loss of feed b: feed a carries all", lost="b"),
        split_phase_mixed(),
        delta_240(),
        single_230(),
        cord_end_faults(),
        *(random_site(draw, number) for number in range(1, RANDOM_SITES + 1)),
    ]


def as_text(scenarios):
    """JSON with one line for each supply, circuit and cord, so that differences read well."""
    blocks = []
    for made in scenarios:
        parts = [f'  "name": {json.dumps(made["name"])},\n  "about": {json.dumps(made["about"])}']
        for section in ("supplies", "circuits", "cords", "faults"):
            if section in made:
                rows = ",\n".join(f"    {json.dumps(key)}: {json.dumps(row)}" for key, row in made[section].items())
                parts.append(f'  "{section}": {{\n{rows}\n  }}')
        blocks.append(" {\n" + ",\n".join(parts) + "\n }")
    return '{"seed": %d, "scenarios": [\n%s\n]}\n' % (SEED, ",\n".join(blocks))
