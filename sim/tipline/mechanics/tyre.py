"""Solid tyres: stiffness from the rubber's size and modulus."""

from __future__ import annotations

from math import isfinite, pi, sqrt

__all__ = ["disc_inertia", "rubber_line_stiffness"]


def rubber_line_stiffness(modulus: float, width: float, thickness: float, radius: float, load: float) -> float:
    """Line stiffness of a solid tyre: force per metre of contact length per metre of compression.

    A bed of springs of modulus Ec / t, where the block is stiffer than the bare rubber because it cannot bulge freely:
    Ec = E (1 + 2 phi S^2), S = loaded / free area = 2 c b / (2 (2 c + b) t), half contact length c = sqrt(2 R d),
    F = 4/3 b (Ec / t) sqrt(2 R) d^1.5. S depends on c, so the load at which it holds is given. phi = 0.7.
    Derived, not confirmed on a real tyre.

    Parameters
    ----------
    modulus : float
        Young's modulus of the rubber [Pa], 3 to 8 MPa for solid tyres.
    width, thickness, radius : float
        Tread width, rubber thickness, outer radius [m].
    load : float
        Tyre load at which the shape factor is taken [N].

    Returns
    -------
    float
        [N/m2]

    Raises
    ------
    ValueError
        When an argument is not above 0, or the tyre would be compressed by more than half its rubber.

    Source: [Johnson1985] (from memory), [GentLindley1959] (from memory)
    """
    for name, value in {
        "modulus": modulus,
        "width": width,
        "thickness": thickness,
        "radius": radius,
        "load": load,
    }.items():
        if not (isfinite(value) and value > 0.0):
            msg = f"{name} {value:g}: must be above 0"
            raise ValueError(msg)
    line, d = width * modulus / thickness, 0.0
    for _ in range(60):
        d = (load / (4.0 / 3.0 * line * sqrt(2.0 * radius))) ** (2.0 / 3.0)
        c = sqrt(2.0 * radius * d)
        S = 2.0 * c * width / (2.0 * (2.0 * c + width) * thickness)
        line = width * modulus * (1.0 + 1.4 * S * S) / thickness
    if d > 0.5 * thickness:
        pressed = f"compressed by {d * 1e3:.0f} mm of {thickness * 1e3:.0f} mm rubber"
        msg = f"{pressed}: beyond this formula; state the stiffness"
        raise ValueError(msg)
    return line


def disc_inertia(radius: float, width: float, density: float = 1800.0) -> float:
    """Spin inertia of a tyre with its wheel, as a plain disc.

    Parameters
    ----------
    radius, width : float
        [m]
    density : float
        Of tyre and wheel together [kg/m3].

    Returns
    -------
    float
        rho pi b R^4 / 2 [kg m2]

    Raises
    ------
    ValueError
        When an argument is not above 0.

    Source: [TextbookMechanics]
    """
    if min(radius, width, density) <= 0.0:
        msg = "radius, width and density must be above 0"
        raise ValueError(msg)
    return 0.5 * density * pi * width * radius**4
