"""A wine as it really is: what its readings would find, whatever anybody has written down about it."""

from __future__ import annotations

import random
from dataclasses import asdict, dataclass, replace

from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.materials import active

YEAST_SO2 = 15.0
"""Total SO2 that yeast itself leaves [mg/L]; the planner's practice counts it until total SO2 is measured."""
STAYS = 0.5
"""Share of a dose of SO2 that stays free: assumed."""
LOSS = {"glass": 0.003, "steel": 0.003, "oak": 0.005}
"""Share of free SO2 that is lost in a day, by vessel: assumed."""
SPIRIT_THINS = 0.009
"""Fall of gravity for each hundredth of spirit mixed in: assumed."""
LEAST_CULTURED = 0.1
"""Malic acid [g/L] that bacteria leave."""
SOURED = 0.1
"""Fall of pH by a gram of tartaric acid in a litre; common practice."""
BRIX = 250.0
"""What a Brix hydrometer shows for a gravity of 1 over that of water, roughly; common practice."""
PRESSED = 0.85
"""Share of a must that comes off the press."""


SMALL, SAMPLE = 10.0, 0.025
"""Volume under which a test's sample counts, and that sample [L]; common practice."""


@dataclass
class Wine:
    """The truth of one vessel; volumes [L], `so2` all that ever went in [mg], `free` what is free of it [mg/L].

    `fined` tells whether protein is out, `cold` the days it has stood under 4 C, `cloudy` the days until it is clear.
    """

    vessel: int
    material: str
    capacity: float
    volume: float
    sg: float
    dry: float
    ph: float
    cellar: float
    born: int
    sticks_at: float | None = None
    skins: bool = False
    finished: bool = False
    yeast: bool = False
    bacteria: bool = False
    malic: float = 2.0
    free: float = 0.0
    so2: float = 0.0
    warmth: float = 20.0
    cold: float = 0.0
    chilled: bool = False
    cloudy: int = 40
    fined: bool = False
    sorbate: float = 0.0
    sweet: bool = False

    def sleep(self) -> None:
        """Let a day and a night go by."""
        self.free *= 1 - LOSS[self.material]
        self.cloudy = max(0, self.cloudy - 1)
        self.warmth = 1.0 if self.chilled else self.cellar
        self.cold += self.chilled
        stop = max(self.dry, self.sticks_at or 0.0)
        if self.yeast and not self.finished and not self.chilled and self.sg > stop:
            self.sg = max(stop, self.sg - 0.010)
        if self.bacteria and self.cellar >= 14 and self.free < 15:
            self.malic = max(LEAST_CULTURED, self.malic - 0.06)
        if self.material == "oak":
            self.volume *= 1 - 0.00015

    def parted(self, vessel: int, volume: float, born: int, like: tuple[str, float]) -> Wine:
        """Return what goes into another vessel, and keep the rest."""
        share = volume / self.volume
        other = replace(
            self, vessel=vessel, volume=volume, so2=self.so2 * share, born=born, material=like[0], capacity=like[1]
        )
        self.so2 *= 1 - share
        self.volume -= volume
        return other

    def drawn_off(self, volume: float) -> None:
        """Let some wine go."""
        self.so2 *= 1 - volume / self.volume
        self.volume -= volume

    def sampled(self, body: k.Reading) -> None:
        """Let what a test of a small lot takes go; gravity and warmth are read in what goes back."""
        goes_back = ("sg", "brix", "temperature", "method")
        tested = [name for name, value in asdict(body).items() if value is not None and name not in goes_back]
        if tested and self.volume < SMALL:
            self.drawn_off(SAMPLE)

    def joined(self, other: Wine, volume: float) -> None:
        """Pour in so much of another wine."""
        share = self.volume / (self.volume + volume)
        self.so2 += other.so2 * volume / other.volume
        self.free = self.free * share + other.free * (1 - share)
        other.drawn_off(volume)
        self.volume += volume
        self.fined = self.fined and other.fined
        self.cold = 0.0

    def takes(self, body: k.Addition) -> None:
        """Let a material go in."""
        brought = active(body.material or "", body.amount or 0.0, body.strength)
        before = self.volume
        self.volume += brought.litres
        self.so2 += brought.so2_mg
        self.free = (self.free * before + STAYS * brought.so2_mg) / self.volume
        material = body.material
        if material == "yeast":
            self.yeast = True
            self.sticks_at = None if self.finished else self.sticks_at
        elif material == "malolactic_culture":
            self.bacteria = True
        elif material in ("bentonite", "pectic_enzyme"):
            self.fined, self.cloudy = True, 7
        elif material == "tartaric_acid":
            self.ph -= SOURED * (body.amount or 0.0) / self.volume
        elif material == "potassium_sorbate":
            self.sorbate = body.amount or 0.0
        elif material == "sugar" and self.finished:
            self.sweet = True
            self.sg += 0.38 * (body.amount or 0.0) / 1000 / self.volume
        elif material == "spirit":
            self.sg -= SPIRIT_THINS * 10 * brought.litres / self.volume
            self.finished = True

    def reads(self, name: str, dice: random.Random, by_strip: bool) -> float | None:
        """Return what a reading finds, None where the scale of the instrument does not go so low."""
        if name == "brix" and self.sg < 1:
            return None
        if name == "free_so2":
            if by_strip:
                return 5.0 * max(0, round((self.free + dice.gauss(0, 4)) / 5))
            return round(max(0.0, self.free + dice.gauss(0, 1.5)), 1)
        known = {
            "sg": round(self.sg, 4),
            "brix": round(BRIX * (self.sg - 1), 2),
            "turbidity": 5.0 if self.cloudy else 0.5,
            "conductivity_drop": 3.0,
            "ph": round(self.ph, 2),
            "ta": 6.5,
            "yan": 180.0,
            "total_so2": round(YEAST_SO2 + 0.9 * self.so2 / self.volume),
            "malic": round(self.malic, 2),
            "residual_sugar": 1.0 if self.sg <= self.dry + 0.001 else round(max(3.0, (self.sg - self.dry) * 2500), 1),
            "va": 0.4,
            "alcohol": 12.5,
            "temperature": self.warmth,
        }
        return known[name]
