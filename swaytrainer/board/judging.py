"""From the seven means of an acceptance to its verdict: see ``board.acceptance``.

The limits are those of a home-built board (force ±1 %, COP ±2 mm); those of twist, noise and zero
are our own.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final

from swaytrainer.board import wire
from swaytrainer.board.calibration import Calibration, Vector4
from swaytrainer.board.findings import (
    LEANS,
    Finding,
    Step,
    Trouble,
    Verdict,
    cop_of,
    difference,
    twist_share,
)
from swaytrainer.board.fit import CELL_NAMES
from swaytrainer.board.steady import Mean
from swaytrainer.board.wiring import TWIST_SHARE, wiring
from swaytrainer.words import say

FORCE_SHARE: Final = 0.01
COP_MM: Final = 2.0
NOISE_N: Final = 0.1
ZERO_N: Final = 12.0
RETURN_N: Final = 1.5
#: Whoever leans weighs the same in each lean, but for breath and heart and the calibration.
WEIGHS_SHARE: Final = 0.012


def judge(
    calibration: Calibration,
    taken: dict[Step, Mean],
    weight_n: float,
    mass_kg: float,
    status: int = 0,
) -> Verdict:
    """The verdict from the seven means.

    Args:
        calibration: the one in use.
        taken: a mean for each step.
        weight_n, mass_kg: of the known mass.
        status: all status bits that were seen.
    """
    findings: list[Finding] = []
    c = calibration
    if dead := _dead(c, taken):
        return Verdict((dead,))
    cables = wiring(c, taken)
    fix = None
    if isinstance(cables, Finding):
        findings.append(cables)
    elif cables is not None:
        c, finding = cables
        fix = c
        findings.append(finding)
    zero, last = taken[Step.EMPTY], taken[Step.EMPTY_AGAIN]
    noise_n = max(
        abs(g) * n for g, n in zip(c.gain_n_per_count, _ordered(c, zero.noise_counts), strict=True)
    )
    if noise_n > NOISE_N:
        findings.append(
            Finding(
                Trouble.NOISY,
                say(
                    "The empty board's cells are noisy: {noise:.2f} N rms, at most {limit:g}.",
                    noise=noise_n,
                    limit=NOISE_N,
                ),
                "Use another USB port or supply, keep the cables off mains leads, check the"
                " shields.",
            )
        )
    back = difference(c, last, zero)
    returns = max(range(4), key=lambda i: abs(back[i]))
    if loose := abs(back[returns]) > RETURN_N:
        findings.append(
            Finding(
                Trouble.LOOSE,
                say(
                    "After the loads the {cell} cell's zero is off by {force:+.1f} N.",
                    cell=CELL_NAMES[returns],
                    force=back[returns],
                ),
                "Tighten its screws and its foot; if it stays so, the cell was overloaded.",
            )
        )
    leans = [difference(c, taken[s], zero) for s in LEANS]
    twist = sorted(abs(twist_share(v)) for v in leans)[1]
    if not isinstance(cables, Finding) and twist > TWIST_SHARE:
        findings.append(
            Finding(
                Trouble.ROCKING,
                say("The plate rocks: {twist:.0%} of the weight is twist.", twist=twist),
                "Set it on a level floor and turn its feet until all four bear.",
            )
        )
    weight = difference(c, taken[Step.WEIGHT], zero)
    force = math.fsum(weight)
    x, y = cop_of(c, weight)
    force_error, cop_error = force / weight_n - 1.0, math.hypot(x, y)
    bodies = [math.fsum(v) for v in leans]
    differs = (max(bodies) - min(bodies)) / (sum(bodies) / len(bodies))
    weight_wrong = abs(force_error) > FORCE_SHARE or cop_error > COP_MM
    if (weight_wrong or differs > WEIGHS_SHARE) and not findings_explain(findings):
        findings.append(_gain_or_bound(c, leans, weight, weight_n, mass_kg, weight_wrong, differs))
    shift = [abs(v) for v in c.loads(zero.counts)]
    if max(shift) > ZERO_N and not loose:
        cell = CELL_NAMES[shift.index(max(shift))]
        findings.append(
            Finding(
                Trouble.ZERO,
                say(
                    "The {cell} cell's zero is {force:.0f} N off its calibration: another board's"
                    " calibration, something on the plate, or an overload.",
                    cell=cell,
                    force=max(shift),
                ),
                "Clear the board and check its label; if both are right, calibrate again.",
            )
        )
    if status & ~(wire.STATUS_MISSING | wire.STATUS_MIXED):
        findings.append(
            Finding(
                Trouble.STATUS,
                say("The board reported trouble of its own (status {status:#06x}).", status=status),
                "Run 'swaytrainer board', which names it.",
            )
        )
    # A board is offered a fix only if that is all that is wrong with it.
    return Verdict(
        tuple(findings),
        force_error,
        cop_error,
        noise_n,
        fix if len(findings) == 1 else None,
    )


def findings_explain(findings: Sequence[Finding]) -> bool:
    """Something is wrong already that makes loads wrong as well."""
    return any(f.trouble in (Trouble.LOOSE, Trouble.ROCKING, Trouble.WIRING) for f in findings)


def _ordered(c: Calibration, counts: Vector4) -> Vector4:
    a, b, d, e = c.channels
    return (counts[a], counts[b], counts[d], counts[e])


def _dead(c: Calibration, taken: dict[Step, Mean]) -> Finding | None:
    loads = [difference(c, taken[s], taken[Step.EMPTY]) for s in (*LEANS, Step.WEIGHT)]
    borne = max(math.fsum(abs(v) for v in one) for one in loads)
    for i, name in enumerate(CELL_NAMES):
        if max(abs(one[i]) for one in loads) < 0.02 * borne:
            return Finding(
                Trouble.DEAD,
                say("The {cell} cell feels nothing.", cell=name),
                "Check its cables, its screws, and that its foot stands on the floor.",
            )
    return None


def _gain_or_bound(
    c: Calibration,
    leans: Sequence[Vector4],
    weight: Vector4,
    weight_n: float,
    mass_kg: float,
    weight_wrong: bool,
    differs: float,
) -> Finding:
    """One cell's gain, if that explains the mass and the leans alike; else something binds."""
    force = math.fsum(weight)
    x, y = cop_of(c, weight)
    seen = say(
        "{mass:g} kg read {read:.2f} kg ({off:+.1%}), {beside:.1f} mm beside the middle",
        mass=mass_kg,
        read=mass_kg * force / weight_n,
        off=force / weight_n - 1.0,
        beside=math.hypot(x, y),
    )
    best_left, best_cell, best_change = math.inf, None, 0.0
    for cell in (None, 0, 1, 2, 3):
        change, left = _gain_change(c, weight, weight_n, cell)
        if left < best_left:
            best_left, best_cell, best_change = left, cell, change
    corrected = [
        math.fsum(
            w * (1.0 + (best_change if best_cell in (None, i) else 0.0)) for i, w in enumerate(one)
        )
        for one in leans
    ]
    still = (max(corrected) - min(corrected)) / (sum(corrected) / len(corrected))
    if weight_wrong and still <= WEIGHS_SHARE:
        return Finding(
            Trouble.GAIN,
            say(
                "{seen}: the gain of all cells has drifted, or the mass is not {mass:g} kg, or not"
                " on its mark."
                if best_cell is None
                else "{seen}: the gain of the {cell} cell has drifted, or the mass is not {mass:g}"
                " kg, or not on its mark.",
                seen=seen,
                cell="" if best_cell is None else CELL_NAMES[best_cell],
                mass=mass_kg,
            ),
            "Weigh the mass, repeat the check, then calibrate again.",
        )
    names = ("left", "right", "on the heels", "on the toes")
    bodies = [math.fsum(v) for v in leans]
    least = names[bodies.index(min(bodies))]
    return Finding(
        Trouble.BOUND,
        say(
            "The weight differs by {differs:.1%} between the leans, least {least}, and {seen}: the"
            " plate leans against something there, a cell binds, or its screws are loose.",
            differs=differs,
            least=least,
            seen=seen,
        ),
        "Free the plate all round, look under it, tighten the cells, then check again.",
    )


def _gain_change(
    c: Calibration, weight: Vector4, weight_n: float, cell: int | None
) -> tuple[float, float]:
    """By what share a cell's gain (None: all cells') must change for the mass to read right, and
    how far, in newtons, force and moments then still are from it.
    """
    arm = 100.0
    rows = [(1.0, p[0] / arm, p[1] / arm) for p in c.places]
    shown = [math.fsum(w * r[k] for w, r in zip(weight, rows, strict=True)) for k in range(3)]
    lacks = [weight_n - shown[0], -shown[1], -shown[2]]
    adds = shown if cell is None else [weight[cell] * rows[cell][k] for k in range(3)]
    change = math.fsum(a * b for a, b in zip(adds, lacks, strict=True)) / math.fsum(
        a * a for a in adds
    )
    return change, math.hypot(*(b - change * a for a, b in zip(adds, lacks, strict=True)))
