"""Sample entropy of sway: how little the next moment resembles what followed a like moment before.

Richman & Moorman, Am J Physiol Heart Circ Physiol 2000;278:H2039-H2049: among the N - m templates
of m + 1 successive values, B is the number of pairs whose first m values agree within r, each of
them (Chebyshev's distance, no template with itself), A that of pairs whose m + 1 values agree;
SampEn(m, r, N) = -ln(A/B). Both counts run over the same N - m templates. Here m = 2 and
r = 0.2·SD, with the SD of the very values that are compared (1/N).

A COP of 100 samples a second hardly moves from one to the next, so that neighbours agree for no
other reason than that; the value would be one of the rate. So the COP is first taken down to 20
values a second, each the mean of a twentieth of a second (``block_means``): sway lies below 5 Hz,
and the published values for these data were reckoned at 20 a second too (Montesinos, Castaldo &
Pecchia, J NeuroEng Rehabil 2018;15:116: 600 values for 30 s, 1200 for 60 s).

Limits: it compares only at one m, r, rate, filter and duration. It is a ratio of counts of one
trial, without a unit, and says how regular the sway is, not how large, nor whether that is good:
a metronome and a statue are both regular. Slow drift widens the SD and so lowers it. Offline: each
value is compared with each other, so there is no streaming form.
"""

from __future__ import annotations

import math

import numpy as np

from swaytrainer.sway.cop import NAN, Array

#: Values a second that entropy is reckoned at.
ENTROPY_RATE_HZ = 20.0
#: Values compared, and how near they must be, in standard deviations.
TEMPLATE = 2
TOLERANCE_SD = 0.2
#: Least time: some 20^m values (Pincus & Goldberger, Am J Physiol 1994;266:H1643-H1656, ask for
#: 10^m to 20^m; from memory).
ENTROPY_LEAST_S = 20.0
#: Fewer samples a second than means would be made up; a clock may be a thousandth slow.
ENTROPY_LEAST_HZ = ENTROPY_RATE_HZ * (1.0 - 1e-3)


def sample_entropy(x: Array, tolerance: float | None = None, template: int = TEMPLATE) -> float:
    """SampEn(template, tolerance) of a series, every pair counted.

    The matches of each value lie next to each other in the sorted series, so that they are one
    number of N bits; "the next values match too" is that number and the next one, shifted by a
    bit. N such numbers are compared in place of N² pairs.

    Args:
        x: shape (N,), evenly sampled, in any unit.
        tolerance: r, in the unit of x; None for 0.2 standard deviations (1/N).
        template: m, at least 1.

    Returns:
        NaN if x holds anything but finite numbers, has fewer than m + 2 values or does not move
        (r = 0), or if no pair matches, so that the ratio does not exist.

    Raises:
        ValueError: the template is shorter than 1.

    >>> from math import log
    >>> sample_entropy(np.array([0.0, 1.0, 0.0, 1.0, 0.0, 1.0, 0.0, 9.0])) == log(6 / 4)
    True
    """
    if template < 1:
        raise ValueError(f"template must be at least 1, not {template}")
    if x.size < template + 2 or not np.isfinite(x).all():
        return NAN
    if tolerance is None:
        tolerance = TOLERANCE_SD * float(x.std())
        # A constant leaves only rounding dust, which resembles nothing.
        if tolerance <= 1e-14 * float(np.abs(x).max()):
            return NAN
    if not tolerance > 0.0:
        return NAN
    near = _matches(x, tolerance)
    count = x.size - template
    templates = (1 << count) - 1
    short = long = -count  # no template is compared with itself
    for i in range(count):
        both = near[i] & templates
        for k in range(1, template):
            both &= near[i + k] >> k
        short += both.bit_count()
        long += (both & (near[i + template] >> template)).bit_count()
    return math.log(short / long) if long > 0 else NAN


def block_means(x: Array, rate_hz: float) -> Array:
    """The mean of each twentieth of a second, the series taken as straight between its samples.

    Args:
        x: shape (N,), evenly sampled, finite.
        rate_hz: samples a second of x, at least ``ENTROPY_LEAST_HZ``.

    Returns:
        Shape (K,), K the whole blocks between the first sample and the last. A ramp's means are
        its values in the middle of each block.

    Raises:
        ValueError: there are fewer samples than means.

    >>> block_means(np.arange(11.0), rate_hz=100.0).tolist()
    [2.5, 7.5]
    """
    if rate_hz < ENTROPY_LEAST_HZ:
        raise ValueError(f"rate must be at least {ENTROPY_RATE_HZ:g} Hz, not {rate_hz:g} Hz")
    samples = rate_hz / ENTROPY_RATE_HZ  # a block, not always whole
    # A last block may lie on the last sample but for the rounding of the rate.
    blocks = math.floor((x.size - 1) / samples + 1e-6)
    if blocks < 1:
        return np.empty(0)
    edge = np.minimum(np.arange(blocks + 1) * samples, x.size - 1.0)
    first = np.minimum(edge.astype(np.int64), x.size - 2)
    part = edge - first
    about = x - x[0]  # the integral of a far-off constant would eat the digits
    area = np.concatenate([[0.0], np.cumsum(0.5 * (about[1:] + about[:-1]))])
    to_edge = area[first] + part * (about[first] + 0.5 * part * (about[first + 1] - about[first]))
    means: Array = float(x[0]) + np.diff(to_edge) / np.diff(edge)
    return means


def _matches(x: Array, tolerance: float) -> list[int]:
    """For each value, a number whose bit j says whether value j lies within the tolerance."""
    order = np.argsort(x, kind="stable")
    ranked = x[order]
    begin = np.searchsorted(ranked, x - tolerance, side="left").tolist()
    end = np.searchsorted(ranked, x + tolerance, side="right").tolist()
    lowest = [0]  # bits of the k smallest values
    for j in order.tolist():
        lowest.append(lowest[-1] | 1 << j)
    return [lowest[b] ^ lowest[a] for a, b in zip(begin, end, strict=True)]
