"""How a drag blade cuts a corner that its pivot turns on the spot.

While the pivot runs straight, the angle ψ from the blade's heading to the way it goes falls as
tan(ψ/2) = tan(ψ₀/2) exp(−s/d) (the tractrix; MathWorld, "Tractrix", from memory).
"""

from __future__ import annotations

import math

_NEAR = 1e-12
Vector = tuple[float, float]


def corner_distance(knee: Vector, out: Vector, offset: float) -> float:
    """Give the distance from the corner to the cut along the corner's bisector, mm.

    The pivot runs along +x to (0, 0), straight to ``knee`` (most often no way off), and on along
    ``out``, any length; the tip trails it by ``offset`` d. The corner is where the straight runs,
    made longer, meet. With no knee it is d c(turn), c from the turn alone. A negative offset, which
    no blade has, gives the mirror value, so that a fit may step across 0.
    """
    from scipy.optimize import brentq  # noqa: PLC0415  (scipy is slow to load)

    if offset < 0:
        return -corner_distance(knee, out, -offset)
    if offset == 0:
        return 0.0
    turn = math.atan2(out[1], out[0])
    corner = knee[0] - knee[1] * out[0] / out[1]
    rise, heading = math.hypot(*knee), 0.0
    across = (math.cos(turn / 2), math.sin(turn / 2))
    course = math.atan2(knee[1], knee[0])

    def tip(s: float) -> Vector:
        """Give the tip from the corner, once the pivot has gone ``s`` past where it turned."""
        first = min(s, rise)
        angle = course - _after(course - heading, first / offset) if rise else heading
        x = knee[0] * first / rise if rise else 0.0
        y = knee[1] * first / rise if rise else 0.0
        if s > rise:
            angle = turn - _after(turn - angle, (s - rise) / offset)
            x += (s - rise) * math.cos(turn)
            y += (s - rise) * math.sin(turn)
        return x - corner - offset * math.cos(angle), y - offset * math.sin(angle)

    def beyond(s: float) -> float:
        x, y = tip(s)
        return x * across[0] + y * across[1]

    far = rise + offset
    while beyond(far) < 0:
        far *= 2
    x, y = tip(float(brentq(beyond, 0.0, far, xtol=_NEAR)))
    return y * across[0] - x * across[1]


def _after(psi: float, ratio: float) -> float:
    """Give ψ after the pivot went ``ratio`` offsets straight on."""
    return 2 * math.atan(math.tan(psi / 2) * math.exp(-ratio))
