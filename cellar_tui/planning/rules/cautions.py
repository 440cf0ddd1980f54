"""The usual cautions of cellar work, shown where the work is. Common practice; labels and local codes decide."""

from __future__ import annotations

SULFITE = (
    "Dissolve sulfite in water or a little wine, in moving air: its dust and gas hurt lungs, asthmatic ones most.",
    "Never put sulfite and dry acid together, never near caustic or bleach; the supplier's label decides.",
)
DECLARE = "At 10 mg/L or more, sulfite must be declared wherever the wine is sold."
GAS = (
    "Carbon dioxide gathers low down in a cellar: air the room first, and never enter a vat alone or after someone "
    "who has dropped."
)
INERT = "Inert gas and dry ice suffocate without warning: air the room."
AIRLOCK = "Never close a vessel that can still make gas: an airlock, or a bung that can lift."
LIFTING = "A full glass vessel weighs 30 kg and breaks into knives: dry hands, a crate, no hot water on cold glass."
COOLING = "A wine that cools sucks its airlock in, one that warms throws its bung: spirit in the airlock, room on top."
BRIM = "Do not fill a cold vessel to the brim: the wine swells as it warms."
SCALD = "The bath scalds and a closed tube bursts: open tubes, goggles, tongs."
FOAM = "A young ferment foams over: leave a fifth of the vessel empty, under an airlock that cannot clog."
ENZYME = "Enzyme dust hurts lungs and eyes: do not breathe it, stir it into a little cool water first."
LICENCE = "Fortifying may need a licence, and distilling at home is illegal in most places: buy the spirit."
WARMING = "Warm gently, by the room or a jacket: heating a wine to save it costs its fruit."
STUCK = "A ferment that stands still can start again without warning: never close it, whatever is decided."
FLAME = "Spirit vapour burns: no flame, no sparks, also for the pectin test."
LIVE = (
    "A bottle or jar that builds pressure is a bomb: face shield, thick gloves, a blanket over it, cool it where it "
    "stands."
)
GERANIUM = "Sorbate with living malolactic bacteria gives a geranium taint that nothing takes out."
BUFFERS = "Set the pH meter on two buffers the same day."
HYDROMETER = "Swirl the gas out, read at the lowest point, and note the sample's temperature."
STRIP = "One strip over 20 mg/L shows a trend only: take two on the same day; titration reads high in reds."
