"""Text that a person types for the fields of an entry, read into the entry; every fault is reported at once."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from cellar_tui.language import clean_text, days, quantities
from cellar_tui.language.zones import known_zone
from cellar_tui.ledger import kinds as k
from cellar_tui.ledger import titrated, trial_doses
from cellar_tui.ledger.cellar_kinds import KINDS, HouseRule, MaterialOnHand
from cellar_tui.ledger.fields import NAME_LIMIT, Spec, specs
from cellar_tui.ledger.house import ANY_WORD, SETTINGS
from cellar_tui.ledger.materials import material, named
from cellar_tui.ledger.validate import Fault, faults

ALIASES = {"with": "source", "for": "purpose"}
"""Names of fields on the command line that are words of the language here."""

YES, NO = ("yes", "y", "true"), ("no", "n", "false")


class InputError(Exception):
    """What was typed cannot be an entry; `faults` holds every reason."""

    def __init__(self, found: list[Fault]) -> None:
        super().__init__(" ".join(fault.message for fault in found))
        self.faults = found

    @property
    def field(self) -> str | None:
        """The first field at fault."""
        return self.faults[0].field if self.faults else None


@dataclass(frozen=True, slots=True)
class Typist:
    """What is needed to read typed text: today, the vessel of a name, and the unit of a bare number.

    Attributes:
        today: day for `today`, `-3d` and the like.
        vessel: number of the vessel of that name; raises LookupError where there is none.
        bare: canonical unit -> unit of a bare number; None where a bare number is refused.
    """

    today: date
    vessel: Callable[[str], int]
    bare: Mapping[str, str | None]


def field_name(name: str) -> str:
    """Return the name of a field as the entry has it."""
    return ALIASES.get(name, name)


def shown_name(name: str) -> str:
    """Return the name of a field as a person types it."""
    return next((alias for alias, own in ALIASES.items() if own == name), name)


def read(kind: str, fields: Mapping[str, str], typist: Typist, base: k.Body | None = None) -> k.Body:
    """Read typed fields into an entry; `base` keeps what is not named, an empty text drops a field.

    Raises:
        InputError: with every fault found.
    """
    body = KINDS[kind]() if base is None else base
    known = dict(specs(type(body)))
    values: dict[str, Any] = {}
    found: list[Fault] = []
    for shown, typed in fields.items():
        name = field_name(shown)
        if name not in known:
            names = ", ".join(shown_name(one) for one in known) or "no fields"
            found.append(Fault(shown, f"{kind} has no field {shown}; it takes {names}."))
            continue
        try:
            values.update(_value(name, known[name], typed.strip(), fields, body, typist))
        except (quantities.QuantityError, clean_text.TextError, days.WhenError, ValueError, LookupError) as error:
            found.append(Fault(shown, str(error.args[0] if error.args else error)))
    body = replace(body, **values)
    if isinstance(body, k.Trial) and base is None and not found:
        body = replace(body, unit=_trial_unit(fields, k.Trial()))
    if isinstance(body, k.Reading):
        body = titrated.worked_out(body)
    # What could not be read is not missing: of the rest only the fields that were read can be judged.
    wrong = [fault for fault in faults(body) if not found or field_name(fault.field) in values]
    if found or wrong:
        raise InputError([*found, *wrong])
    return body


def _value(
    name: str, spec: Spec, typed: str, fields: Mapping[str, str], body: k.Body, typist: Typist
) -> dict[str, Any]:
    if isinstance(body, k.Reading) and name in titrated.MILLILITRES:
        run_in = f"{name}{titrated.SUFFIX}"
        if typed and quantities.is_burette(typed):
            return {run_in: quantities.parse(typed, "mL", field=name).value}
        return {run_in: None, **(_number(name, spec, typed, fields, body, typist) if typed else {name: None})}
    if not typed:
        return {name: None}
    if isinstance(body, k.Trial) and name in trial_doses.COUNTED:
        spec = replace(spec, unit=_trial_unit(fields, body) or trial_doses.FINING)
    if spec.sort == "number":
        return _number(name, spec, typed, fields, body, typist)
    if spec.sort == "vessel":
        if name == "source" and isinstance(body, k.Topping) and typed.casefold() == "outside":
            return {"outside": True, "source": None}
        return {name: typist.vessel(typed)}
    if isinstance(body, HouseRule) and name == "value":
        return {name: _setting(fields.get("name") or body.name or "", typed, typist)}
    if isinstance(body, MaterialOnHand) and name == "name":
        return {name: named(str(_word(name, spec, typed, typist)))}
    return {name: _word(name, spec, typed, typist)}


def _setting(name: str, typed: str, typist: Typist) -> str:
    """Read the value of a house rule: a word of its own, or an amount in any unit that fits, kept in the rule's."""
    setting = SETTINGS.get(name)
    if setting is None or setting.words:
        cleaned = clean_text.clean(typed, limit=NAME_LIMIT)
        if name == "zone" and not known_zone(cleaned):
            raise ValueError(f"this machine knows no zone {cleaned}; write it like Europe/Berlin.")
        return cleaned if setting is None or setting.words == ANY_WORD else cleaned.casefold()
    # Rules of gravity are typed as SG in every house: many of them are steps between two.
    bare = "SG" if setting.unit == "SG" else typist.bare.get(setting.unit, setting.unit)
    try:
        value = quantities.parse(typed, setting.unit, bare="" if bare is None else bare, field=name).value
    except quantities.QuantityError as error:
        raise ValueError(f"{name}: {error}") from error
    return f"{value:.12g}"


def _word(name: str, spec: Spec, typed: str, typist: Typist) -> Any:
    if spec.sort == "choice":
        word = clean_text.clean(typed, limit=80).casefold().replace(" ", "_")
        meant = next((choice for choice in spec.choices if choice.casefold() == word), None)
        if meant is None:
            raise ValueError(f"{name} must be one of: {', '.join(spec.choices)}.")
        return meant
    if spec.sort == "words":
        named_words = typed.replace(";", " ").replace(",", " ").split()
        words = tuple(clean_text.clean(word, limit=80).casefold() for word in named_words)
        if strange := [word for word in words if word not in spec.choices]:
            raise ValueError(f"{name} has no word {strange[0]}; there are: {', '.join(spec.choices)}.")
        return tuple(dict.fromkeys(words))
    if spec.sort == "yes_no":
        word = typed.casefold()
        if word not in YES + NO:
            raise ValueError(f"{shown_name(name)} is yes or no.")
        return word in YES
    if spec.sort == "date":
        return days.parse_date(typed, typist.today)
    if spec.sort == "list":
        parts = typed.replace(";", " ").split()
        return tuple(quantities.parse(part, spec.unit, field=name).value for part in parts)
    cleaned = clean_text.clean(typed, limit=spec.limit, lines=name in ("text", "reason"))
    return named(cleaned) if name == "material" else cleaned


def _number(
    name: str, spec: Spec, typed: str, fields: Mapping[str, str], body: k.Body, typist: Typist
) -> dict[str, Any]:
    unit, bare = spec.unit, typist.bare.get(spec.unit, spec.unit)
    if isinstance(body, k.Addition | MaterialOnHand):
        named = fields.get("material") or fields.get("name") or _material_of(body)
        stuff = clean_text.clean(named, limit=80).casefold().replace(" ", "_")
        if name == "amount":
            return {name: _amount(typed, stuff)}
        if name == "strength":
            return {name: _strength(typed, stuff)}
        bare = material(stuff).dose_unit if name == "dose" else bare
    # An empty unit of a bare number refuses one.
    return {name: quantities.parse(typed, unit, bare="" if bare is None else bare, field=name).value}


def _trial_unit(fields: Mapping[str, str], body: k.Trial) -> str | None:
    """Return the unit of a trial's doses: the one typed, that of the entry that is corrected, else its material's."""
    typed = clean_text.clean(fields.get("unit", ""), limit=80).casefold()
    known = next((one for one in trial_doses.IN_MG_L if one.casefold() == typed), None)
    if known is not None or body.material is not None:
        return known or body.unit
    usual = trial_doses.usual_unit(named(clean_text.clean(fields.get("material", ""), limit=NAME_LIMIT)))
    return None if usual == trial_doses.FINING else usual


def _material_of(body: k.Addition | MaterialOnHand) -> str:
    named = body.material if isinstance(body, k.Addition) else body.name
    return named or ""


def _amount(typed: str, stuff: str) -> float:
    unit = material(stuff).unit
    if unit == "g" and "sp" in typed:
        return quantities.parse_powder(typed, stuff, field="amount").value
    return quantities.parse(typed, unit, field="amount").value


def _strength(typed: str, stuff: str) -> float:
    """Read a strength: % for a solution or spirit, g/L for a syrup, a share or % for a salt."""
    known = material(stuff)
    if known.strength == 1.0 or known.unit == "g":
        if typed.endswith("%"):
            return quantities.parse(typed, "%", field="strength").value / 100
        share = quantities.parse(typed, "", field="strength").value
        if not 0 < share <= 1:
            raise ValueError("strength is a share between 0 and 1, or a percentage such as 95 %.")
        return share
    unit = "g/L" if known.sort == "sugar" else "%"
    return quantities.parse(typed, unit, field="strength").value
