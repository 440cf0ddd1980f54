"""Short wine stories told through the service, line by line as a person types them on the command line.

A line is `DAY kind field=value ...`, on the wine in vessel V or in its bottles; `| reason` at its end waives what a
guard stops. Three lines begin otherwise: `vessel field=value ...`, `wine DAY field=value ...` and `material NAME
field=value ...`. A story goes on where another ends by beginning with its text.
"""

from __future__ import annotations

import shlex
import shutil
from datetime import UTC, datetime
from pathlib import Path

from cellar_tui.service.open import OpenCellar, create_cellar, open_cellar
from cellar_tui.service.views import Request, SaveResult

NOW = datetime(2027, 6, 1, 23, 30, tzinfo=UTC)
"""The hour at which every story has been told; in another zone it may be the next day."""


def place(service: OpenCellar) -> str:
    """Return where the wine of a story lies: in its vessel, or in the bottles that it was filled into."""
    return next((one.name for one in service.view.vessels() if one.name.endswith("bottles")), "V")


def say(service: OpenCellar, line: str, *, preview: bool = False) -> SaveResult:
    """Make the entry of one line, or only weigh it."""
    said, _, reason = line.partition("|")
    first, *words = shlex.split(said)
    second = words.pop(0) if words and "=" not in words[0] else ""
    fields = dict(word.split("=", 1) for word in words)
    if first == "vessel":
        return service.recorder.add_vessel({"name": "V"} | fields)
    if first == "material":
        return service.recorder.set_material(second, fields)
    waive = reason.strip() or None
    if first == "wine":
        request = Request("V", "wine", {"name": "Hill"} | fields, second, waive=waive)
        return service.recorder.start_wine(request, preview=preview)
    return service.recorder.record(Request(place(service), second, fields, first, waive=waive), preview=preview)


class Shelf:
    """Cellars in which stories have happened; each is told once, and goes on from the longest one it begins with."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.told: dict[str, Path] = {}

    def find(self, story: str) -> Path:
        """Return the file of a story, told now if nobody has told it yet; it is not to be written to."""
        if story not in self.told:
            path = self.folder / f"{len(self.told)}.db"
            begun = max((one for one in self.told if story.startswith(one)), key=len, default="")
            if begun:
                shutil.copyfile(self.told[begun], path)
            service = self.open(path) if begun else create_cellar(path, lambda: NOW, by="ida", zone="UTC")
            for line in story.removeprefix(begun).splitlines():
                answer = say(service, line)
                assert answer.saved, f"{line}: {[one.why for outcome in answer.outcomes for one in outcome.stops]}"
            service.close()
            self.told[story] = path
        return self.told[story]

    @staticmethod
    def open(path: Path) -> OpenCellar:
        """Open a cellar at the hour at which every story has been told."""
        return open_cellar(path, lambda: NOW, by="ida")


def vessel(material: str = "glass", capacity: str = "23L") -> str:
    """Return the vessel of a story."""
    return f"vessel material={material} capacity={capacity}"


# -- must and ferment

MUST = f"""{vessel()}
wine 2026-09-20 style=dry_white volume=20L sg=1.090
2026-09-21 addition material=yeast amount=6g
"""
NO_YEAST = f"""{vessel()}
wine 2026-09-20 style=dry_white volume=20L sg=1.090
"""
WEAK = f"""{vessel()}
wine 2026-09-20 style=dry_white volume=20L sg=1.060
2026-09-20 reading ph=3.2 ta=4.5
"""
EMPTY_BARREL = f"""{vessel("oak")}
wine 2026-09-20 style=dry_red volume=20L sg=1.090
2026-09-22 loss volume=20L reason=spilt
"""
BRIGHT_MUST = NO_YEAST + "2026-09-20 reading turbidity=200\n"
FERMENT = MUST + "2026-09-25 reading sg=1.050 temperature=20\n"
HOT = MUST + "2026-09-25 reading sg=1.050 temperature=26\n"
NEAR_END = FERMENT + "2026-10-01 reading sg=1.000\n"
OUT = (
    MUST
    + """2026-10-05 reading ph=3.2
2026-10-10 reading sg=0.992
2026-10-13 reading sg=0.992
"""
)
HIGH = (
    MUST
    + """2026-10-10 reading sg=0.9965
2026-10-13 reading sg=0.9965
"""
)
UNEVEN = (
    MUST
    + """2026-10-10 reading sg=0.9925
2026-10-13 reading sg=0.9917
"""
)
PROVED = OUT + "2026-10-17 reading sg=0.992\n"
SUGAR_READ = OUT + "2026-10-20 reading residual_sugar=1.5\n"
NO_METER = (
    MUST
    + """2026-10-10 reading sg=0.992
2026-10-13 reading sg=0.992
"""
)
SOUR = NO_METER + "2026-10-13 reading ph=3.0\n"
SOFT = NO_METER + "2026-10-13 reading ph=3.6\n"
OPEN = OUT + "2026-10-13 intent malolactic=either\n"
FED_EARLY = f"""{vessel()}
wine 2026-09-20 style=dry_white volume=19L sg=1.070
2026-09-21 addition material=yeast amount=6g
2026-09-23 addition material=sugar amount=1kg
2026-10-10 reading sg=0.995
2026-10-13 reading sg=0.995
2026-10-20 reading sg=0.995
"""
FED_LATE = f"""{vessel()}
wine 2026-09-20 style=dry_white volume=19L sg=1.070
2026-09-21 addition material=yeast amount=6g
2026-09-25 reading sg=1.050
2026-10-05 addition material=sugar amount=1kg
2026-10-10 reading sg=0.995
2026-10-13 reading sg=0.995
2026-10-20 reading sg=0.995
"""
STUCK = (
    MUST
    + """2026-09-23 reading sg=1.030
2026-09-26 reading sg=1.0295
2026-09-28 reading sg=1.0295
"""
)
SLOW = (
    MUST
    + """2026-09-23 reading sg=1.030
2026-09-26 reading sg=1.027
"""
)
RESTARTED = STUCK + '2026-09-28 decide about=ferment_stuck choice=restart reason="too sweet"\n'
COOL = MUST + "2026-09-25 reading sg=1.050 temperature=13\n"
PULP = f"""{vessel()}
wine 2026-09-20 style=dry_fruit volume=18L sg=1.080 skins=yes
2026-09-20 addition material=potassium_metabisulfite amount=1g
"""
PULP_READ = (
    PULP
    + """2026-09-22 addition material=yeast amount=4g
2026-09-24 reading sg=1.035
"""
)
FRUIT_MUST = f"""{vessel()}
wine 2026-09-20 style=dry_fruit volume=18L sg=1.080
2026-09-21 addition material=yeast amount=4g
"""
FRUIT_FED = (
    FRUIT_MUST
    + """2026-09-22 addition material=dap amount=2g
2026-09-24 reading sg=1.050
2026-09-25 reading sg=1.042
"""
)
FRUIT_COMPLEX = (
    FRUIT_MUST
    + """2026-09-22 addition material=complex_nutrient amount=4g
2026-09-25 reading sg=1.050
"""
)
FRUIT_HALF = FRUIT_MUST + "2026-09-24 reading sg=1.036\n"
SKINS = f"""{vessel()}
wine 2026-09-20 style=dry_red volume=18L sg=1.090 skins=yes
2026-09-21 addition material=yeast amount=6g
"""
SKINS_READ = SKINS + "2026-09-25 reading sg=1.018 temperature=22\n"
SKINS_COOL = SKINS + "2026-09-25 reading sg=1.040 temperature=20\n"
SKINS_LOW = SKINS + "2026-09-25 reading sg=1.008 temperature=24\n"
SKINS_WARM = SKINS + "2026-09-25 reading sg=1.050 temperature=28\n"
WHITE_SKINS = f"""{vessel()}
wine 2026-09-20 style=dry_white volume=18L sg=1.090 skins=yes
"""

# -- a ferment stopped: by cold, or by spirit

TO_ARREST = f"""{vessel()}
wine 2026-09-20 style=arrested_sweet volume=18L sg=1.090
2026-09-20 intent finish_sg=1.015
2026-09-21 addition material=yeast amount=6g
2026-09-25 reading sg=1.030 ph=3.2
"""
TO_ARREST_NEAR = TO_ARREST + "2026-09-27 reading sg=1.020\n"
TO_ARREST_NOW = TO_ARREST_NEAR + "2026-09-28 reading sg=1.017\n"
TO_FORTIFY = f"""{vessel()}
wine 2026-09-20 style=fortified colour=red volume=18L sg=1.090
2026-09-20 intent finish_sg=1.030
2026-09-21 addition material=yeast amount=6g
2026-09-25 reading sg=1.029
"""
CHILLED = f"""{vessel()}
wine 2026-09-20 style=arrested_sweet volume=22.9L sg=1.090
2026-09-21 addition material=yeast amount=6g
2026-09-28 reading sg=1.015 ph=3.2
2026-09-28 chill start=yes temperature=3C place=chiller
"""
ARRESTED = (
    CHILLED
    + """2026-09-28 addition material=potassium_metabisulfite amount=4g
2026-09-29 reading temperature=1C
"""
)
ARRESTED_READ = ARRESTED + "2026-10-01 reading sg=1.015\n"
ARRESTED_READ_TWICE = ARRESTED_READ + "2026-10-05 reading sg=1.015\n"
ARRESTED_RACKED = ARRESTED + "2026-10-02 racking to=V cold=yes\n"
ARRESTED_MILD = ARRESTED_READ_TWICE + "2026-10-11 reading temperature=3C\n"
FORTIFIED = f"""{vessel()}
wine 2026-09-20 style=fortified colour=red volume=19L sg=1.090
2026-09-21 addition material=yeast amount=6g
2026-09-25 reading sg=1.030
2026-09-25 addition material=spirit amount=2.6L strength=96
"""
FORTIFIED_READ = FORTIFIED + "2026-09-27 reading sg=0.990\n"
WEAKLY_FORTIFIED = f"""{vessel()}
wine 2026-09-20 style=fortified colour=red volume=19L sg=1.090
2026-09-21 addition material=yeast amount=6g
2026-09-25 addition material=spirit amount=2L strength=96
2026-09-26 decide about=ferment_stuck choice=finish_here reason="sweet enough"
2026-09-27 reading alcohol=17 residual_sugar=40 sg=1.000
2026-10-12 reading sg=1.000
"""

# -- malolactic fermentation

RED = f"""{vessel()}
wine 2026-09-20 style=dry_red volume=22.9L sg=1.090
2026-09-21 addition material=yeast amount=6g
2026-10-10 reading sg=0.994
2026-10-13 reading sg=0.994
"""
RUNNING = RED + "2026-10-14 addition material=malolactic_culture amount=1g\n"
RUNNING_COLD = RUNNING + "2026-11-01 reading malic=1.5 temperature=12\n"
NOTED_COLD = RUNNING_COLD + "2026-11-02 note text=warmed\n"
RUNNING_WARM = RUNNING + "2026-11-01 reading malic=1.5 temperature=20\n"
NEARLY_THROUGH = RUNNING + "2026-11-01 reading malic=0.25 ph=3.5\n"
SPOTLESS = (
    RUNNING
    + """2026-11-01 reading ph=3.5
2026-11-01 check test=chromatogram result=pass
2026-11-09 check test=chromatogram result=pass
"""
)
THROUGH = RUNNING + "2026-11-01 reading malic=0.1\n"
THROUGH_PH = RUNNING + "2026-11-01 reading malic=0.1 ph=3.5\n"
DISTURBED = RUNNING + "2026-10-20 addition material=potassium_metabisulfite amount=0.3g\n"
HINDERED = RUNNING + "2026-11-01 reading free_so2=8 total_so2=35 ph=3.3 method=aspiration\n"
CRUSHED = RUNNING.replace("2026-09-21", "2026-09-20 addition material=potassium_metabisulfite amount=2g\n2026-09-21", 1)
STALLED = (
    RUNNING
    + """2026-10-20 reading malic=1.5
2026-11-12 reading malic=1.4
"""
)
RIPE = f"""{vessel()}
wine 2026-09-20 style=dry_red volume=18L sg=1.112
2026-09-21 addition material=yeast amount=6g
"""
LESS_RIPE = RIPE.replace("1.112", "1.099")
PRESSED = f"""{vessel()}
wine 2026-09-20 style=dry_red volume=22L sg=1.090 skins=yes
2026-09-21 addition material=yeast amount=6g
2026-09-27 press to=V volume=18L
"""

# -- a white that was sulfited and is kept

SULFITED = OUT + "2026-10-14 addition material=potassium_metabisulfite amount=2.8g\n"
ACID_READ = OUT + "2026-10-20 reading ta=6\n"
KEPT = (
    SULFITED
    + """2026-10-17 reading free_so2=40 method=aspiration
2026-10-18 racking to=V
2026-10-21 reading free_so2=26 method=aspiration
"""
)
WARMED = KEPT + "2026-10-22 reading temperature=20C\n"
WORKED_ON = SULFITED + "2026-10-18 racking to=V\n"
LOW = SULFITED + "2026-10-21 reading free_so2=12 method=aspiration\n"
LOW_NO_METER = LOW.replace("2026-10-05 reading ph=3.2\n", "")
JUST_LOW = SULFITED + "2026-10-21 reading free_so2=23 method=aspiration\n"
NEARLY_LOW = SULFITED + "2026-10-21 reading free_so2=26 method=titration\n"
BARELY_KEPT = SULFITED + "2026-10-21 reading free_so2=25.5 method=aspiration\n"
WELL_KEPT = SULFITED + "2026-10-21 reading free_so2=60 method=aspiration\n"
SKIPPED = (
    KEPT
    + """2026-12-10 reading free_so2=12 method=aspiration
2026-12-11 skip action=sulfite reason=away
"""
)
LATE_LOW = KEPT + "2026-12-10 reading free_so2=12 method=aspiration\n"
LATE_FALLEN = KEPT + "2026-12-10 reading free_so2=19 method=aspiration\n"
SOFT_SULFITED = SOFT + "2026-10-14 addition material=potassium_metabisulfite amount=2.8g\n"
SOFT_LOOKED = SOFT_SULFITED + "2026-10-15 reading malic=2\n"
STOPPED = KEPT + '2026-10-22 decide about=malolactic_unwanted choice=stop reason="a spot"\n'
STOPPED_LOOKED = STOPPED + "2026-11-05 reading malic=2\n"
SAFE = KEPT + "2026-12-10 reading free_so2=26 method=aspiration\n"
MALIC_KEPT = (
    SAFE
    + """2026-11-10 reading malic=2.0
2026-11-30 reading malic=1.75
"""
)
RACKED_TWICE = KEPT + "2026-11-25 racking to=V\n"
BENTONITE = KEPT + "2026-10-22 addition material=bentonite amount=10g\n"
GELATIN = KEPT + "2026-10-22 addition material=gelatin amount=2g\n"
GASSED = KEPT + "2026-10-22 gas\n"
LOOKED_AT = KEPT + "2026-10-22 check test=level result=pass\n"
CLOUDY = KEPT + "2026-11-05 check test=clarity result=fail\n"
CLEAR = KEPT + "2026-11-05 check test=clarity result=pass\n"
METERED = KEPT + "2026-11-05 reading turbidity=1.5\n"
TOTAL_READ = (
    KEPT
    + """2026-10-22 reading total_so2=140
2026-10-23 addition material=potassium_metabisulfite amount=0.7g
"""
)
SMELT = KEPT + "2026-10-22 check test=smell result=pass\n"
SMELT_BARE = OUT + "2026-10-13 check test=smell result=pass\n"
OAKED = KEPT + "2026-10-22 addition material=oak amount=30g\n"
OAK_TASTED = OAKED + "2026-11-05 check test=taste result=pass\n"
RED_METERED = (
    THROUGH_PH
    + """2026-11-10 racking to=V
2026-11-28 reading turbidity=1.5
"""
)
RED_FINED = (
    THROUGH_PH
    + """2026-11-10 addition material=gelatin amount=2g
2026-11-30 check test=clarity result=pass
"""
)


def lying_in(material: str, story: str = KEPT) -> str:
    """Return a story in a vessel of another material."""
    return story.replace("material=glass", f"material={material}", 1)


def filled(volume: str, story: str = OUT, capacity: str = "23L") -> str:
    """Return a story of more or less wine, or in another vessel."""
    return story.replace("volume=20L", f"volume={volume}", 1).replace("capacity=23L", f"capacity={capacity}", 1)


# -- cold, haze

HEATED = (
    CLEAR
    + """2026-11-06 check test=heat_test result=pass
2026-11-06 reading free_so2=26 method=aspiration
"""
)
PH_MOVED = HEATED + "2026-11-20 reading ph=3.25\n"
HOLD = (
    HEATED
    + """2026-11-10 chill start=yes temperature=-2C place=chiller
2026-11-11 reading temperature=-2C
"""
)
HOLD_FAILED = HOLD + "2026-11-13 check test=cold_test result=fail\n"
COLD_TESTED = HEATED + "2026-11-10 check test=cold_test result=pass\n"
ACIDIFIED = COLD_TESTED + "2026-11-12 addition material=tartaric_acid amount=6g\n"
SULFITED_AGAIN = COLD_TESTED + "2026-11-12 addition material=potassium_metabisulfite amount=1g\n"
CONDUCTIVITY = HEATED + "2026-11-10 reading conductivity_drop=5.5\n"
RED_COLD = (
    THROUGH_PH
    + """2026-11-10 chill start=yes temperature=-2.8C place=fridge
2026-11-11 reading temperature=-2.8C
2026-12-15 check test=smell result=pass
"""
)
RED_IN_COLD_CELLAR = RED_COLD.replace("place=fridge", "place=cellar").replace("-2.8C", "4.4C")
FRUIT = f"""{vessel()}
wine 2026-10-01 style=dry_fruit volume=22.9L finished=yes alcohol=12 total_so2=60
2026-11-05 check test=clarity result=pass
"""
PECTIN = FRUIT + "2026-11-06 check test=pectin_test result=fail\n"
SWEET_FRUIT = FRUIT.replace("dry_fruit", "sweet_fruit")

# -- a white to be sweetened

SWEET = f"""{vessel()}
wine 2026-10-13 style=sweet_white volume=20L finished=yes alcohol=12 total_so2=80
2026-10-13 reading ph=3.3
2026-10-13 intent sweetness=30
2026-11-01 check test=clarity result=pass
"""
SWEET_HEATED = (
    SWEET
    + """2026-11-01 check test=heat_test result=pass
2026-11-03 reading free_so2=38 method=aspiration
"""
)
SWEET_STABLE = (
    SWEET
    + """2026-11-01 check test=heat_test result=pass
2026-11-02 check test=cold_test result=pass
2026-11-03 reading free_so2=38 method=aspiration
"""
)
SWEET_SOUR = SWEET.replace("ph=3.3", "ph=3.0") + "2026-11-03 reading free_so2=12 method=aspiration\n"
SWEET_NO_PH = SWEET_STABLE.replace("2026-10-13 reading ph=3.3\n", "").replace("free_so2=38", "free_so2=42")
SORBATE_IN = SWEET_STABLE + "2026-11-05 addition material=potassium_sorbate amount=3g\n"
SORBATE_LATE = SWEET_STABLE + "2026-11-20 addition material=potassium_sorbate amount=3g\n"
SORBATE_SHORT = SWEET_STABLE + "2026-11-05 addition material=potassium_sorbate amount=2.52g\n"
SWEETENED = SORBATE_IN + "2026-11-07 addition material=sugar amount=612g\n"
SWEETENED_LOW = SWEETENED + "2026-11-08 reading free_so2=15 method=aspiration\n"
WATCHED_ONCE = SWEETENED + "2026-11-14 reading sg=1.002 temperature=19\n"
WATCHED_TWICE = WATCHED_ONCE + "2026-11-21 reading sg=1.002 temperature=19\n"
WATCHED = (
    SWEETENED
    + """2026-11-07 reading temperature=19
2026-11-14 reading sg=1.002 temperature=19
2026-11-21 reading sg=1.002 temperature=19
2026-12-05 reading sg=1.002 temperature=19
"""
)
WARM_SAMPLE = SWEETENED + "2026-11-19 check test=warm_bottle result=pass\n"

# -- ready but for the final SO2; bottling wished on 20 February

SETTLED = (
    KEPT
    + """2026-10-22 intent bottling=2027-02-20
2026-11-01 waive stability=yeast reason="a known wine"
2026-11-01 waive stability=bacteria reason="a known wine"
2026-11-01 waive stability=crystals reason="a known wine"
2026-11-01 waive stability=haze reason="a known wine"
"""
)
FINAL_READ = SETTLED + "2027-02-13 reading free_so2=26 method=aspiration\n"
FINAL_DOSED = SETTLED + "2027-02-14 addition material=potassium_metabisulfite amount=1g\n"
FINAL_CLOSED = FINAL_DOSED + "2027-02-16 reading free_so2=33 method=aspiration\n"
TOPPED = SETTLED + "2026-12-01 topping with=outside wine=Moor volume=0.3L\n"

# -- in bottles

BOTTLED = FINAL_CLOSED + "2027-02-20 bottle count=26 size=750 | a known wine\n"
BOTTLE_LOOKED_AT = BOTTLED + "2027-03-06 check test=kept_bottle result=pass\n"
BOTTLE_LOOKED_AT_AGAIN = BOTTLE_LOOKED_AT + "2027-05-21 check test=kept_bottle result=pass\n"
SWEET_BOTTLED = WATCHED + "2026-12-20 bottle count=26 size=750 | a known wine\n"
SWEET_BOTTLE_LOOKED_AT = SWEET_BOTTLED + "2027-01-03 check test=kept_bottle result=pass\n"
SWEET_BOTTLE_LOOKED_AT_AGAIN = SWEET_BOTTLE_LOOKED_AT + "2027-01-17 check test=kept_bottle result=pass\n"

# -- small lots, a bag on the shelf

SMALL = filled("12L", PROVED + "2026-10-18 reading ta=6\n2026-10-19 reading ta=6\n", "13L")
SMALLER = SMALL.replace("12L", "8L").replace("13L", "9L")
SMALL_KEPT = (
    SMALLER
    + """2026-10-20 addition material=potassium_metabisulfite amount=1.1g
2026-10-23 reading free_so2=40 method=aspiration
"""
)
BAG = "material potassium_metabisulfite opened=2026-01-15\n" + OUT
EMPTY = f"{vessel()}\n"
