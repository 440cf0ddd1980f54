"""What is asked of a new vessel and a new wine: few questions at a time, and only those that matter for it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from cellar_tui.entry_form.choices import chosen
from cellar_tui.language import describe_entry, quantities
from cellar_tui.language.clean_text import safe
from cellar_tui.ledger.cellar_kinds import VESSEL_MATERIALS
from cellar_tui.ledger.styles import COLOURS, STYLES, Intents
from cellar_tui.service.views import BoardLine

Texts = Mapping[str, str]

FINISHES = {
    "dry": "fermented dry",
    "sweetened": "fermented dry, then sweetened: the safe way to a sweet wine",
    "arrested": "stopped by cold with sugar left, an advanced way: the yeast stays alive",
    "fortified": "spirit to 18 % vol or more",
}
"""What each finish means."""
CALLED = {"glass": "Demijohn", "steel": "Tank", "oak": "Barrel", "plastic": "Tub"}
"""What a vessel of each material is usually called."""
SOURCES = ("grape", "fruit", "juice", "concentrate", "honey")
MUST, FINISHED = "must", "finished"
PAST = ("malolactic", "alcohol", "sugar", "total_so2", "sorbate")
"""What is asked of a wine that came finished."""


@dataclass(frozen=True, slots=True)
class Question:
    """One thing that is asked.

    Attributes:
        name: the field it answers.
        label: its name on the screen.
        beside: unit or range that stands beside it.
        about: what it decides, in a line.
        offered: the usual answer, "" where there is none.
        choices: the words it takes, empty for free text.
        needed: nothing can be recorded without it.
        names: the words are names, and are written as they are.
    """

    name: str
    label: str
    beside: str = ""
    about: str = ""
    offered: str = ""
    choices: tuple[str, ...] = ()
    needed: bool = False
    names: bool = False


@dataclass(frozen=True, slots=True)
class Page:
    """Questions that are asked together."""

    title: str
    questions: tuple[Question, ...]


COLOUR = Question(
    "colour", "colour", about="Limits, haze and SO2 follow from it.", offered="red", choices=COLOURS, needed=True
)
"""Asked of a wine whose style leaves its colour open."""


def style_line(style: str) -> str:
    """Return what a style intends, in one line."""
    wanted = STYLES[style]
    colour = "colour to be named" if style == "fortified" else wanted.colour
    malolactic = f"malolactic {wanted.malolactic}" if wanted.malolactic != "either" else "malolactic left open"
    served = "served cold" if wanted.served_cold else "not served cold"
    aims = f"{wanted.molecular_so2:g} mg/L molecular SO2, bottled from {wanted.minimum_age:g} months on"
    return f"{colour}, {FINISHES[wanted.finish]}; {malolactic}; {served}; {aims}"


# -- a vessel


def vessel_pages(texts: Texts, lines: Sequence[BoardLine], units: str) -> tuple[Page, ...]:
    """Return what is asked of a new vessel; what the last one of its material was like is offered again."""
    stuff = chosen(texts.get("material", ""), VESSEL_MATERIALS)
    stuff = stuff if stuff in VESSEL_MATERIALS else VESSEL_MATERIALS[0]
    alike = max((line for line in lines if line.material == stuff), key=lambda line: line.number, default=None)
    last = max((line for line in lines if line.material != "bottles"), key=lambda line: line.number, default=None)
    size = "" if alike is None or alike.capacity is None else quantities.number(alike.capacity, "L", system=units)
    asked = [
        Question(
            "material",
            "material",
            about="Air comes through oak and plastic: test and top up more often.",
            offered=VESSEL_MATERIALS[0],
            choices=VESSEL_MATERIALS,
        ),
        Question(
            "name",
            "name",
            about="As it is written on the vessel; no colon in it.",
            offered=_free_name(CALLED[stuff], lines),
            needed=True,
        ),
        Question(
            "capacity", "capacity", quantities.shown_unit("L", units), "What it holds, full to the stopper.", size
        ),
    ]
    if stuff in ("steel", "plastic"):
        asked.append(
            Question(
                "lid",
                "lid",
                about="A floating lid sinks with the wine: no headspace to top up.",
                offered="fixed",
                choices=("fixed", "floating"),
            )
        )
    asked.append(
        Question(
            "place",
            "place",
            about="Where it stands: the round walks from place to place.",
            offered="" if last is None else last.place,
        )
    )
    return (Page("", tuple(asked)),)


def _free_name(called: str, lines: Sequence[BoardLine]) -> str:
    taken = {line.name.casefold() for line in lines}
    return next(name for number in range(1, len(lines) + 2) if (name := f"{called} {number}").casefold() not in taken)


# -- a wine


def empty_vessels(lines: Sequence[BoardLine]) -> list[BoardLine]:
    """Return the vessels that a wine can begin in."""
    return [line for line in lines if line.wine is None and line.material != "bottles"]


def wine_pages(texts: Texts, lines: Sequence[BoardLine], units: str) -> tuple[Page, ...]:
    """Return what is asked of a new wine: what and where it is, how it stands, and its days."""
    style = chosen(texts.get("style", ""), tuple(STYLES))
    wanted = STYLES.get(style, STYLES["dry_red"])
    return (
        Page("what and where", tuple(_what(texts, lines, units, style))),
        Page("how it stands", tuple(_state(texts, wanted, units))),
        Page("its days", tuple(_days(wanted))),
    )


def _what(texts: Texts, lines: Sequence[BoardLine], units: str, style: str) -> list[Question]:
    names = tuple(vessel.name for vessel in empty_vessels(lines))
    named = safe(texts.get("name", "")).casefold()
    known = next((line for line in lines if line.wine and line.wine.casefold() == named), None)
    vessel = next((line for line in lines if line.name == chosen(texts.get("vessel", ""), names)), None)
    room = (
        ""
        if vessel is None or vessel.capacity is None
        else (f"of {quantities.show(vessel.capacity, 'L', system=units)}")
    )
    called = "A wine of this name is here: this is one more vessel of it." if known else "What you call it."
    asked = [
        Question("name", "name", about=called, needed=True),
        Question(
            "style",
            "style",
            about=style_line(style) if style in STYLES else "",
            offered=(known.style if known and known.style else "dry_red"),
            choices=tuple(STYLES),
            needed=True,
        ),
        Question(
            "vessel",
            "vessel",
            about="Only empty vessels are offered.",
            offered=names[0] if names else "",
            choices=names,
            needed=True,
            names=True,
        ),
        Question(
            "volume",
            "volume",
            room or quantities.shown_unit("L", units),
            "How much is in it now; a must needs room for its foam.",
            needed=True,
        ),
    ]
    if style == "fortified":
        asked.insert(2, COLOUR)
    return asked


def _state(texts: Texts, wanted: Intents, units: str) -> list[Question]:
    start = Question(
        "state",
        "it is",
        about="Still to ferment, or a wine that has finished.",
        offered=MUST,
        choices=(MUST, FINISHED),
        needed=True,
    )
    scale = quantities.shown_unit("SG", units)
    gravity = Question("sg", f"{scale} of the must", scale, "How strong it gets, and how dry dry is, follow from it.")
    fruit = wanted.colour == "fruit"
    source = Question(
        "source",
        "made from",
        about="Grapes drop crystals; fruit is short of food for the yeast.",
        offered="fruit" if fruit else "grape",
        choices=SOURCES,
    )
    named = Question("fruit", "which fruit", "apple, plum", "Grapes drop crystals; other fruit does not.")
    made_from = [source, named] if fruit else [source]
    if chosen(texts.get("state", MUST), (MUST, FINISHED)) == FINISHED:
        past = (
            Question(
                "malolactic",
                "malolactic",
                about="What is known of it; done counts as stated by you.",
                offered="none",
                choices=("done", "running", "none"),
            ),
            Question("alcohol", "alcohol", "% vol", "Where it is known; the sorbate dose rests on it."),
            Question("sugar", "sugar", "g/L", "Glucose and fructose, where it was tested; live yeast wakes on it."),
            Question("total_so2", "total SO2", "mg/L", "Over 15 mg/L its first sulfite counts as in."),
            Question("sorbate", "sorbate", "mg/L", "Potassium sorbate already in it, where it is known."),
        )
        return [start, *past, gravity, *(made_from if fruit else [])]
    skins = Question(
        "skins",
        "on skins",
        about="On skins or pulp it is punched down daily, then pressed.",
        offered="yes",
        choices=("yes", "no"),
    )
    return [start, gravity, *([skins] if wanted.colour == "red" or fruit else []), *made_from]


def _days(wanted: Intents) -> list[Question]:
    age = f"{wanted.minimum_age:g} months"
    return [
        Question("at", "started", "today, -3d", "The day it went into the vessel.", "today"),
        Question("harvested", "harvested", "2026-09-20", f"Its least age, {age}, counts from here, else from then."),
        Question("bottling", "target date", "2027-04-01", f"Where no date is typed: when it is {age} old."),
    ]


def fields_of(texts: Texts, pages: Sequence[Page]) -> dict[str, str]:
    """Return the answers to what is asked as the fields of the entry; what is no longer asked is left out."""
    found = {}
    for question in (one for page in pages for one in page.questions):
        text = texts.get(question.name, question.offered).strip()
        found[question.name] = chosen(text, question.choices) if question.choices else text
    if found.pop("state", MUST) == FINISHED:
        found["finished"] = "yes"
    return {name: text for name, text in found.items() if text}


def misfits(texts: Texts, pages: Sequence[Page]) -> dict[str, str]:
    """Return what is wrong with each answer that is none of the words offered."""
    found = {}
    for question in (one for page in pages for one in page.questions):
        text = texts.get(question.name, question.offered)
        if text.strip() and question.choices and chosen(text, question.choices) not in question.choices:
            words = ", ".join(describe_entry.words(choice) for choice in question.choices)
            found[question.name] = f"Choose one of: {words}."
    return found


def missing(texts: Texts, page: Page) -> str:
    """Return the first question of a page that is needed and not answered, "" where there is none."""
    asked = (question for question in page.questions if question.needed)
    return next((one.name for one in asked if not texts.get(one.name, one.offered).strip()), "")
