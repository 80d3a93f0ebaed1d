"""What the program says of whole machines whose truth is known: rates, by hand.

    python -m tests.campaigns.sound_sessions --machines 500 [--list pre-season --sheet tindrak-600]

A sound machine is walked through a shipped list, each measured reading off by its own error as the
list states it (what is the gauge's own, the same for all of a step). The other sorts are the same
machine with one thing wrong. Counted are machines with at least one such finding, not rows.
"""

from __future__ import annotations

import argparse
import math
from collections import Counter
from collections.abc import Mapping, Sequence

import numpy as np

from inspect_tui.core.evaluation.conclusions.exchanged_parts import is_of_carburettor
from inspect_tui.core.evaluation.evaluate import Memos, evaluate
from inspect_tui.core.model.results import Results
from inspect_tui.core.session.replay import ReadingKey, replay
from tests.sound_machine import Walk, entry, walked

SORTS = ("sound", "jets exchanged", "carburettors exchanged", "carburettors moved round",
         "one cylinder low", "one cylinder low, jets exchanged")  # fmt: skip
MEASURED = "compression.pressure"


def disturbed(walk: Walk, dice: np.random.Generator, moved: Mapping[ReadingKey, str]) -> Results:
    """The machine read once more, every measured reading off by its own error."""
    common: dict[object, float] = {}
    entries = [walk.entries[0]]
    for one in walk.entries[1:]:
        keys = one.keys
        key = (keys["step"], keys["reading"], keys.get("cylinder"), keys["phase"])
        step = walk.evaluation.compiled.steps[key[0]]
        reading = next(each for each in step.readings if each.id == key[1])
        text = moved.get(key, one.keys["entered"])
        measured = walk.evaluation.measured(key)
        error = measured.error
        if reading.kind in ("number", "timer") and error.standard and key not in moved:
            shared = measured.reading_error(key).gauge
            gauge = common.setdefault(shared, dice.normal())
            off = error.own * dice.normal() + error.common * gauge
            true = float(measured.number)  # type: ignore[arg-type]
            value = max(true + off, 0.0) if true >= 0 else true + off  # no gauge goes below nought
            text = f"{value:.9f} {measured.unit.text}".strip()
            if reading.kind == "timer":
                text = f"{value:.3f} s"
        entries.append(entry(len(entries), step, reading, key[2], text))
    return evaluate(walk.evaluation.of(replay(entries)), Memos())


def exchanged(walk: Walk, order: Sequence[int], jets_alone: bool) -> dict[ReadingKey, str]:
    """What is read where the carburettors, or their main jets alone, sit in another order."""
    names = walk.evaluation.machine.cylinders
    found: dict[ReadingKey, str] = {}
    typed = {
        (one.keys["step"], one.keys["reading"], one.keys.get("cylinder")): one.keys["entered"]
        for one in walk.entries[1:]
    }
    for step, reading, side in walk.evaluation.definitions.figures_by_cylinder:
        if not is_of_carburettor(side):
            continue
        if jets_alone and "main_jet" not in {name.id for name in side.names}:
            continue
        for place, source in enumerate(order):
            if (step.id, reading.id, names[source]) in typed:
                key = (step.id, reading.id, names[place], "as-found")
                found[key] = typed[step.id, reading.id, names[source]]
    return found


def low_cylinder(walk: Walk, dice: np.random.Generator) -> dict[ReadingKey, str]:
    """One cylinder four expanded uncertainties below the others."""
    names = walk.evaluation.machine.cylinders
    step, reading = MEASURED.split(".")
    key = (step, reading, str(dice.choice(names)), "as-found")
    measured = walk.evaluation.measured(key)
    own = 2 * measured.uncorrelated
    return {key: f"{float(measured.number) - 4 * own:.6f} {measured.unit.text}"}  # type: ignore[arg-type]


def planted(walk: Walk, sort: str, dice: np.random.Generator) -> dict[ReadingKey, str]:
    """What is wrong with a machine of this sort."""
    count = len(walk.evaluation.machine.cylinders)
    a, b = (int(i) for i in dice.choice(count, 2, replace=False))
    pair = [b if i == a else a if i == b else i for i in range(count)]
    turned = [(i + 1) % count for i in range(count)]
    found: dict[ReadingKey, str] = {}
    if "jets" in sort:
        found |= exchanged(walk, pair, True)
    elif "round" in sort:
        found |= exchanged(walk, turned, False)
    elif "carburettors" in sort:
        found |= exchanged(walk, pair, False)
    if "low" in sort:
        found |= low_cylinder(walk, dice)
    return found


def counted(walk: Walk, sort: str, machines: int) -> tuple[Counter[str], Counter[str]]:
    """On how many machines each kind of finding, and each finding, speaks."""
    dice = np.random.default_rng([sum(map(ord, sort)), 11])
    kinds: Counter[str] = Counter()
    ids: Counter[str] = Counter()
    for _ in range(machines):
        said = [
            one
            for one in disturbed(walk, dice, planted(walk, sort, dice)).findings
            if one.is_active and (one.open or one.remark)
        ]
        kinds.update({one.kind for one in said})
        kinds.update({"inference, high" for one in said if one.sure == "high"})
        ids.update({one.id for one in said})
    return kinds, ids


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--machines", type=int, default=200)
    parser.add_argument("--list", default="pre-season")
    parser.add_argument("--sheet", default="tindrak-600")
    asked = parser.parse_args()
    walk = walked(asked.list, asked.sheet, True)
    columns = ("exchanged", "out-of-family", "inference", "inference, high", "value")
    print(f"{'% of machines':36}" + "".join(f"{name:>17}" for name in columns))
    for sort in SORTS:
        kinds, ids = counted(walk, sort, asked.machines)
        share = {name: 100 * kinds[name] / asked.machines for name in columns}
        print(f"{sort:36}" + "".join(f"{share[name]:17.1f}" for name in columns), flush=True)
        for name, times in ids.most_common(6):
            print(f"    {name}: {100 * times / asked.machines:.1f}")
    error = 100 * math.sqrt(0.01 * 0.99 / asked.machines)
    print(f"A rate of 1 % is known to {error:.2f} points (one standard deviation).")


if __name__ == "__main__":
    main()
