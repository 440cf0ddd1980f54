"""What a walk through the cellar needs: in which order, what to weigh out, what to carry."""

from __future__ import annotations

from collections.abc import Iterable

from cellar_tui.language import describe_entry
from cellar_tui.service.views import Task


def walking_order(task: Task) -> tuple[bool, str, str, str, str]:
    """Return the order of a walk: pressure first, then by place, what shares a kit together."""
    return not task.action.urgent, task.place.casefold(), task.action.kit, task.vessel.casefold(), task.action.rule


def weigh_out(tasks: Iterable[Task], units: str) -> list[str]:
    """Return what is to be weighed or measured before the walk: each material in all, and by vessel."""
    doses: dict[tuple[str, str], list[tuple[str, float]]] = {}
    for task in tasks:
        if (dose := task.action.dose) is not None:
            doses.setdefault((dose.material, dose.unit), []).append((task.vessel, dose.amount))
    found = []
    for (material, unit), parts in doses.items():
        each = ", ".join(f"{vessel} {describe_entry.amount(amount, unit, units)}" for vessel, amount in parts)
        whole = describe_entry.amount(sum(amount for _, amount in parts), unit, units)
        found.append(
            f"{describe_entry.words(material)} {whole}" + (f": {each}" if len(parts) > 1 else f" for {parts[0][0]}")
        )
    return found


def carry(tasks: Iterable[Task]) -> list[str]:
    """Return the kits that the walk needs, each once, with the number of vessels."""
    kits: dict[str, set[str]] = {}
    for task in tasks:
        if task.action.kit:
            kits.setdefault(task.action.kit, set()).add(task.vessel)
    return [f"{kit} for {len(found)} vessel{'s' if len(found) > 1 else ''}" for kit, found in kits.items()]
