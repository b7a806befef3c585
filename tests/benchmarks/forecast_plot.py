"""Draw how often the truth came by a forecast's quantile, beside how often it should."""

from pathlib import Path

import numpy as np

SIZE, MARGIN = 420, 50


def calibration(days: np.ndarray, truth: np.ndarray, levels: np.ndarray, cap: int) -> np.ndarray:
    """Return the share of truths by each quantile, among quantiles inside (0, cap).

    Days are whole, so the share is taken half way between "before" and "by" the day.
    """
    shares = []
    for column in range(levels.size):
        day = days[:, column]
        inside = (day > 0) & (day < cap)
        before, by = truth[inside] < day[inside], truth[inside] <= day[inside]
        shares.append((before.mean() + by.mean()) / 2 if inside.any() else np.nan)
    return np.array(shares)


def draw(path: Path, levels: np.ndarray, shares: np.ndarray) -> None:
    """Write the plot as an SVG file."""

    def x(value: float) -> float:
        return MARGIN + value * (SIZE - 2 * MARGIN)

    def y(value: float) -> float:
        return SIZE - MARGIN - value * (SIZE - 2 * MARGIN)

    line = " ".join(f"{x(a):.1f},{y(b):.1f}" for a, b in zip(levels, shares, strict=True))
    dots = "".join(
        f'<circle cx="{x(a):.1f}" cy="{y(b):.1f}" r="4"/>'
        for a, b in zip(levels, shares, strict=True)
    )
    ticks = "".join(
        f'<text x="{x(t):.1f}" y="{y(0) + 18}" text-anchor="middle">{t:.1f}</text>'
        f'<text x="{x(0) - 8}" y="{y(t) + 4:.1f}" text-anchor="end">{t:.1f}</text>'
        for t in (0.0, 0.2, 0.4, 0.6, 0.8, 1.0)
    )
    path.write_text(
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {SIZE} {SIZE}" '
        f'font-family="sans-serif" font-size="12" role="img">'
        f"<title>Share of services due by the day of each quantile</title>"
        f'<path d="M{x(0)} {y(1)}V{y(0)}H{x(1)}" fill="none" stroke="#333"/>'
        f'<path d="M{x(0)} {y(0)}L{x(1)} {y(1)}" stroke="#999" stroke-dasharray="4 4"/>'
        f'<polyline points="{line}" fill="none" stroke="#1457a8" stroke-width="2"/>'
        f'<g fill="#1457a8">{dots}</g>{ticks}'
        f'<text x="{SIZE / 2}" y="{SIZE - 10}" text-anchor="middle">chance forecast</text>'
        f'<text x="14" y="{SIZE / 2}" text-anchor="middle" '
        f'transform="rotate(-90 14 {SIZE / 2})">share come true</text></svg>\n',
        encoding="utf-8",
    )
