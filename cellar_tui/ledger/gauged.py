"""Litres from centimetres: a dip or an ullage by the inside measures of a vessel."""

from __future__ import annotations

from cellar_tui.enology import gauging
from cellar_tui.ledger.cellar import VesselInfo


def volume_by(name: str, level: float, info: VesselInfo) -> float:
    """Return the volume [L] of the wine in a vessel.

    Args:
        name: `dip`, the depth of the wine in a tank, or `ullage`, that of the air under the bung of a lying barrel:
            what is missing then is taken off what the barrel holds to the bung.
        level: what was measured [cm].
        info: the vessel with its inside measures.

    Raises:
        CalcError: the level does not fit into the vessel.
    """
    size = {one: float(value) for one, value in info.gauge.items() if one != "shape"}
    if name == "ullage":
        missing = gauging.barrel_empty(size["bung_diameter"], size["head_diameter"], size["length"], level)
        return max(0.0, (info.capacity or 0.0) - missing)
    if info.gauge["shape"] == "upright":
        return gauging.upright(size["diameter"], level)
    if info.gauge["shape"] == "cone":
        return gauging.cone(size["diameter"], level, size.get("length"))
    if info.gauge["shape"] == "lying":
        return gauging.lying(size["diameter"], size["length"], level)
    return gauging.sphere(size["diameter"], level)
