"""What the trade calls a material besides its own name, and which known materials are nearest to an unknown name."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from difflib import SequenceMatcher

from cellar_tui.ledger.materials import MATERIALS, named

NAMES: Mapping[str, tuple[str, ...]] = {
    "potassium_metabisulfite": (
        "sulfite",
        "sulphite",
        "sulfites",
        "sulphites",
        "campden",
        "campden powder",
        "meta",
        "k-meta",
        "kmeta",
        "kms",
        "metabisulfite",
        "metabisulphite",
        "potassium metabisulphite",
        "bisulfite",
        "bisulphite",
    ),
    "sodium_metabisulfite": ("na-meta", "sodium metabisulphite"),
    "so2_solution": ("sulfur dioxide solution", "sulfurous acid"),
    "potassium_sorbate": ("sorbate", "k-sorbate", "stabilizer", "stabiliser"),
    "sugar": ("sucrose", "table sugar", "cane sugar", "beet sugar", "dextrose", "corn sugar"),
    "syrup": ("sugar syrup", "invert syrup"),
    "spirit": ("alcohol", "ethanol", "brandy", "neutral spirit"),
    "pectic_enzyme": ("pectinase", "pectolase", "pectolytic enzyme", "enzyme"),
    "malolactic_culture": ("malolactic bacteria", "mlf culture", "oenococcus", "bacteria"),
    "dap": ("diammonium phosphate", "ammonium phosphate"),
    "complex_nutrient": ("nutrient", "yeast nutrient"),
    "tartaric_acid": ("tartaric",),
    "malic_acid": ("malic",),
    "citric_acid": ("citric",),
    "potassium_bicarbonate": ("bicarbonate", "potassium hydrogen carbonate"),
    "calcium_carbonate": ("chalk", "precipitated chalk"),
    "gelatin": ("gelatine",),
    "cream_of_tartar": ("potassium bitartrate", "potassium hydrogen tartrate", "seed crystals"),
    "tannin": ("tannins", "grape tannin"),
    "copper_sulfate": ("copper", "copper sulphate"),
    "ascorbic_acid": ("ascorbic", "vitamin c"),
}
"""Names used in the trade (common practice); each means one material only."""
OFFERED = 3
CLOSE = 0.55
"""Likeness from which a name is offered as a near one, 1 for the same (assumed)."""

_MEANT = {name: material for material, names in NAMES.items() for name in names}


def _plain(text: str) -> str:
    return " ".join(text.casefold().replace("_", " ").split())


def meant(written: str) -> str | None:
    """Return the material that a name of the trade means, None where it is none.

    >>> meant("Campden"), meant("k-meta"), meant("flour")
    ('potassium_metabisulfite', 'potassium_metabisulfite', None)
    """
    return _MEANT.get(_plain(written))


def nearest(written: str, known: Sequence[str]) -> list[str]:
    """Return the materials whose names are nearest to an unknown one, the nearest first; none where none is near."""
    wanted = _plain(written)

    def likeness(material: str) -> float:
        names = (_plain(material), *NAMES.get(material, ()))
        parts = [word for name in names for word in (name, *name.split())]
        return max(1.0 if part.startswith(wanted) else SequenceMatcher(None, wanted, part).ratio() for part in parts)

    ranked = sorted(known, key=lambda one: -likeness(one))
    return [one for one in ranked if likeness(one) >= CLOSE][:OFFERED]


def unknown(written: str, on_hand: Collection[str]) -> str:
    """Return what is to be said of a material that neither the program nor this cellar knows, "" of any other.

    >>> unknown("sugar", ()), unknown("bentonit", ())
    ('', 'bentonit is no material of the list. Did you mean bentonite?')
    """
    if not written or named(written) in MATERIALS or written in on_hand:
        return ""
    near = [one.replace("_", " ") for one in nearest(written, tuple(MATERIALS))]
    offer = f" Did you mean {', '.join(near)}?" if near else ""
    return f"{written} is no material of the list.{offer}"
