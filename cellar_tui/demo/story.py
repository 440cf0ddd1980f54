"""The story itself: a few wines of different styles, from must to bottle. All of it is invented."""

from __future__ import annotations

from cellar_tui.demo.teller import Teller

KMBS = "potassium_metabisulfite"


def vessels(t: Teller) -> None:
    """The vessels of the cellar."""
    t.to("2025-09-10")
    for number in (1, 2):
        t.vessel(f"Barrel {number}", "225L", "oak", "north wall")
    t.vessel("Steel 1", "100L", "steel", "by the door", lid="floating")
    t.vessel("Steel 2", "100L", "steel", "by the door")
    for number in (1, 2, 3):
        t.vessel(f"Demijohn {number}", "23L", "glass", "back wall")
    t.vessel("Tub", "120L", "plastic", "by the door")


def red(t: Teller) -> None:
    """A dry red in two barrels, through its malolactic fermentation."""
    t.to("2025-09-20").wine("Barrel 1", "Hillside 25", "dry_red", "224L", sg="1.096")
    first = t.record("Barrel 1", "note", text="Invented demo cellar: no real wine, place or person.")
    t.record("Barrel 1", "addition", material="yeast", amount="45g")
    t.to("2025-09-24").record("Barrel 1", "reading", sg="1.060", temperature="25")
    typed = t.to("2025-10-01").record("Barrel 1", "reading", sg="1.004", temperature="24", by="jon")
    t.amend(typed, sg="1.008")
    t.to("2025-10-12").record("Barrel 1", "reading", sg="0.994")
    t.to("2025-10-16").record("Barrel 1", "reading", sg="0.994", ph="3.52", malic="2.1")
    t.record("Barrel 1", "addition", material="malolactic_culture", amount="2g")
    t.to("2025-10-20").record("Barrel 1", "racking", volume="220L")
    t.record("Barrel 1", "reading", sg="0.9938")
    t.to("2025-11-10").record("Barrel 1", "reading", malic="1.2", temperature="18")
    t.to("2025-12-08").record("Barrel 1", "reading", malic="0.12", ph="3.6", method="titration")
    t.record("Barrel 1", "addition", material=KMBS, amount="25g")
    t.to("2025-12-12").record("Barrel 1", "reading", free_so2="36", method="titration", by="jon")
    t.to("2026-01-10").record("Barrel 1", "topping", with_="outside", wine="Hillside 25", volume="1.5L")
    t.to("2026-02-20").record("Barrel 1", "reading", free_so2="31", ph="3.6", method="aspiration")
    t.record("Barrel 1", "check", test="clarity", result="pass")
    t.to("2026-05-15").record("Barrel 1", "reading", free_so2="22", method="aspiration")
    t.record("Barrel 1", "addition", material=KMBS, amount="9g")
    t.to("2026-05-18").record("Barrel 1", "reading", free_so2="34", method="aspiration")
    t.to("2026-09-12").record("Barrel 1", "topping", with_="outside", wine="Hillside 25", volume="3L")
    t.to("2026-10-20").record("Barrel 1", "reading", free_so2="26", ph="3.61", method="aspiration")
    t.to("2026-10-21").undo(first)
    t.undo(t.service.store.count())


def white(t: Teller) -> None:
    """A sweet white of this autumn, its ferment over."""
    t.to("2026-09-18").wine("Demijohn 1", "Terrace 26", "sweet_white", "22.7L", sg="1.088")
    t.record("Demijohn 1", "addition", material="yeast", amount="5g", waive=None)
    t.to("2026-09-26").record("Demijohn 1", "reading", sg="1.030", temperature="18")
    t.to("2026-10-08").record("Demijohn 1", "reading", sg="0.992", temperature="17")
    t.to("2026-10-12").record("Demijohn 1", "reading", sg="0.992", ph="3.15")
    t.record("Demijohn 1", "addition", material=KMBS, amount="2.2g")
    t.to("2026-10-16").record("Demijohn 1", "reading", free_so2="31", sg="0.992", method="aspiration")
    t.to("2026-10-18").record("Demijohn 1", "racking", to="Demijohn 2", volume="22.4L", by="jon")
    t.to("2026-10-21").record("Demijohn 2", "reading", free_so2="28", method="aspiration")
    t.to("2026-11-04").record("Demijohn 2", "check", test="clarity", result="pass")
    t.record("Demijohn 2", "check", test="level", result="pass")
    t.to("2026-11-08").record("Demijohn 2", "check", test="heat_test", result="fail")
    t.to("2026-11-09").record("Demijohn 2", "addition", material="bentonite", amount="12g")
    t.to("2026-11-20").record("Demijohn 2", "intent", sweetness="35")


def fruit(t: Teller) -> None:
    """A plum wine that ferments on, and an empty demijohn."""
    t.to("2026-11-10").wine("Tub", "Plum 26", "dry_fruit", "90L", sg="1.082", skins="yes")
    t.record("Tub", "addition", material="yeast", amount="20g")
    t.to("2026-11-18").record("Tub", "reading", sg="1.034", temperature="21")
    t.to("2026-11-24").record("Tub", "reading", sg="1.012", temperature="20", at="2026-11-23", by="jon")


def rose(t: Teller) -> None:
    """A rose bought finished, held in steel, one recheck put off."""
    known = {"finished": "yes", "alcohol": "12.3", "total_so2": "62"}
    t.to("2026-08-01").wine("Steel 2", "Meadow rose 25", "rose", "99.5L", **known)
    t.record("Steel 2", "reading", free_so2="27", ph="3.25", method="aspiration")
    t.to("2026-09-28").record("Steel 2", "reading", free_so2="24", method="aspiration")
    t.record("Steel 2", "check", test="level", result="pass")
    t.to("2026-10-30").record("Steel 2", "check", test="level", result="pass", by="jon")
    reason = "bought cold stable, papers from the seller"
    t.to("2026-11-02").record("Steel 2", "waive", stability="crystals", reason=reason)


def tell(t: Teller) -> None:
    """Tell all of it, in the order of the days on which it was written down for each wine."""
    for part in (vessels, red, rose, white, fruit):
        part(t)
