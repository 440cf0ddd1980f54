"""The styles built in: intents for a wine, each of which an `intent` entry can change."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from typing import Literal

Colour = Literal["red", "white", "rose", "fruit"]
Finish = Literal["dry", "sweetened", "arrested", "fortified"]
Malolactic = Literal["encouraged", "prevented", "either"]

COLOURS = ("red", "white", "rose", "fruit")
MALOLACTIC = ("encouraged", "prevented", "either")


@dataclass(frozen=True, slots=True)
class Intents:
    """What is intended for a wine.

    Attributes:
        style: name of the style it began from.
        colour: red, white, rose or fruit.
        finish: how the wine ends its ferment: dry, dry and then sweetened, arrested by cold, or fortified.
        malolactic: whether malolactic fermentation is encouraged, prevented or left open.
        served_cold: whether crystals in the bottle would show.
        molecular_so2: molecular SO2 aimed at [mg/L].
        minimum_age: months from harvest to the earliest bottling.
        finish_sg: gravity at which an arrested or fortified ferment is to stop [SG 20/20].
        sweetness: sugar wished in the finished wine [g/L].
        crystals_accepted: the winemaker takes harmless crystals in the bottle.
        on_lees: the wine is kept on its fine lees on purpose.
        sterile_filtration: yeast and bacteria are left to a sterile filter at bottling.
        bottling: wished bottling day.
    """

    style: str
    colour: Colour
    finish: Finish
    malolactic: Malolactic
    served_cold: bool
    molecular_so2: float
    minimum_age: float
    finish_sg: float | None = None
    sweetness: float | None = None
    crystals_accepted: bool = False
    on_lees: bool = False
    sterile_filtration: bool = False
    bottling: date | None = None

    @property
    def red(self) -> bool:
        """A red wine: tannin protects it and throws its protein."""
        return self.colour == "red"

    @property
    def sweet(self) -> bool:
        """It is to be sweetened after its ferment."""
        return self.finish == "sweetened"

    @property
    def encouraged(self) -> bool:
        """Malolactic fermentation is wanted."""
        return self.malolactic == "encouraged"


# Common practice; the molecular targets: Waterhouse, Sacks & Jeffery 2016, table 17.1 (seen) and charts from memory.
STYLES: dict[str, Intents] = {
    "dry_red": Intents("dry_red", "red", "dry", "encouraged", False, 0.5, 8),
    "sweet_red": Intents("sweet_red", "red", "sweetened", "prevented", False, 0.8, 6),
    "dry_white": Intents("dry_white", "white", "dry", "prevented", True, 0.8, 4),
    "dry_white_malolactic": Intents("dry_white_malolactic", "white", "dry", "encouraged", True, 0.8, 6),
    "rose": Intents("rose", "rose", "dry", "prevented", True, 0.8, 3),
    "sweet_white": Intents("sweet_white", "white", "sweetened", "prevented", True, 0.8, 5),
    "arrested_sweet": Intents("arrested_sweet", "white", "arrested", "prevented", True, 0.8, 5),
    "dry_fruit": Intents("dry_fruit", "fruit", "dry", "prevented", True, 0.8, 4),
    "sweet_fruit": Intents("sweet_fruit", "fruit", "sweetened", "prevented", True, 0.8, 4),
    "fortified": Intents("fortified", "red", "fortified", "either", False, 0.5, 12),
}


def style_intents(style: str, colour: Colour | None = None) -> Intents:
    """Return the intents a style starts with; `colour` is asked for the fortified style.

    Raises:
        KeyError: the style is not one of those built in.
    """
    intents = STYLES[style]
    return replace(intents, colour=colour) if colour else intents
