"""Fifty random racks: 34 devices of 100 to 900 W on C13, four light ones and two of 3 kW on C19, dual-corded.
Writes one line a rack: its devices from the foot up, `watts` or `watts*` where the inlet is C20. All invented.

    python3 racks.py > racks.txt
"""
import random

BANKS, LIMIT = 6, 4600  # W: 20 A at 230 V

for seed in range(50):
    dice = random.Random(seed)
    while True:
        small = [round(dice.triangular(100, 900, 160)) for _ in range(34)]
        large = [3000, 3000] + [dice.randrange(300, 900) for _ in range(4)]
        if sum(small) + sum(large) <= 0.9 * BANKS * LIMIT:
            break
    devices = [(watts, "") for watts in small] + [(watts, "*") for watts in large]
    dice.shuffle(devices)
    print(" ".join(f"{watts}{mark}" for watts, mark in devices))
