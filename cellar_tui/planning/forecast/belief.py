"""What is believed of the free SO2 in one wine, and how time, work and readings change it.

Three numbers and how far each may be off, as an extended Kalman filter holds them: free SO2 `free` [mg/L], the natural
logarithm of the share lost in a day `rate`, and `share`, by how much more of a sulfite stays free in this wine than the
house rule says. Constants marked assumed were set by simulation (tests/bench); no published one was found.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from cellar_tui.enology.methods import METHODS

WIDER = 1.35
"""How much wider than the house rule's spread of cellars the prior of the rate is; assumed, simulated."""

DRIFT = 0.60
"""How far ln(rate) wanders in a year, standard deviation; assumed, simulated: wide enough for a season of 5 K."""

SHARE_SPREAD = 0.12
"""Standard deviation of the share that stays free from wine to wine; assumed from published shares of 0.35 to 0.75."""

SHARE_LEAST, SHARE_MOST = 0.1, 1.0
"""Range of the fraction that stays free; the range of its house rules."""

QUICK_DAYS = 1.5
"""Time in which an addition binds [d]; assumed, simulated (practice reads again after 2 to 3 days)."""

QUICK_DOUBT = 0.5
"""Doubt about what has not bound yet, as a share of it; assumed."""

DOSE_ERROR = 0.08
"""Error of what an addition brings: weighing, strength, stirring; a share of it, assumed."""

RACKED, RACKED_SPREAD = 0.88, 0.06
"""Share of the free SO2 that a racking leaves, with its standard deviation; assumed, simulated."""

POURED_SPREAD = 0.3
"""How far wine of the same name poured in may differ in free SO2, as a share of it; assumed."""

REBOUND, REBOUND_LEAST = 0.15, 3.0
"""Doubt about the free SO2 of a blend: a share of it and at least so much [mg/L], as SO2 shifts between the wines;
assumed."""

FAR = 3.0
"""A reading further off than this many standard deviations is trusted less; common practice in statistics."""

UNKNOWN_METHOD = "titration"
"""Method of a reading that names none: the commonest one in small cellars; common practice."""

TWO_STRIPS = "two strips"
"""Method of two strips of one visit read as one; their errors are taken to be independent, assumed."""

YEAR = 365.25


def noise(method: str | None, level: float) -> float:
    """Return the variance of a free SO2 reading [(mg/L)2] at a level [mg/L], by its method.

    The step of a strip's scale adds the variance of a uniform error, step squared / 12.
    """
    if method == TWO_STRIPS:
        return noise("strip", level) / 2
    how = METHODS.get(method or UNKNOWN_METHOD, METHODS[UNKNOWN_METHOD])
    return float((how.fixed + how.share * max(level, 0.0)) ** 2 + how.step**2 / 12)


@dataclass(frozen=True, slots=True)
class Prior:
    """What vessels of one material do: the median share lost in a day, and the spread (x or /) of wines around it."""

    loss: float
    spread: float

    @property
    def rate(self) -> float:
        """Natural logarithm of the median daily loss."""
        return math.log(self.loss)

    @property
    def variance(self) -> float:
        """Variance of ln(rate) before anything was read."""
        return (WIDER * math.log(self.spread)) ** 2


@dataclass(frozen=True, slots=True)
class Belief:
    """Free SO2 as it is believed to be, at one moment.

    Attributes:
        free: free SO2 that does not bind any more [mg/L]; meaningless until `read`.
        rate: ln of the share lost in a day.
        share: what is added to the house rule's fraction that stays free.
        ff, fr, fs, rr, rs, ss: their variances and covariances.
        prior: variance of `rate` when the wine came into this kind of vessel.
        pool: sulfite added lately that has not bound or come to rest [mg/L total].
        quick: the part of the pool that will bind by the house rule's share [mg/L].
        read: a reading has said how much there is.
        pace: by how much faster than at the house rule's warmth it fades now.
    """

    free: float
    rate: float
    share: float
    ff: float
    fr: float
    fs: float
    rr: float
    rs: float
    ss: float
    prior: float
    pool: float = 0.0
    quick: float = 0.0
    read: bool = False
    pace: float = 1.0

    @classmethod
    def unread(cls, prior: Prior) -> Belief:
        """Return what is believed of a wine that was never read: what its kind of vessel does, and no more."""
        width = prior.variance
        return cls(0.0, prior.rate, 0.0, 0.0, 0.0, 0.0, width, 0.0, SHARE_SPREAD**2, width)

    def blended(self, first: Belief, second: Belief, part: float) -> Belief:
        """Return it as a blend of `part` (0 to 1) of one wine and the rest of another, before SO2 has come to rest.

        Where one of them was never read nothing is known of the blend; of its rate only what its vessel does.
        """
        if not (first.read and second.read):
            return self
        free = part * first.free + (1 - part) * second.free
        parted = part**2 * first.ff + (1 - part) ** 2 * second.ff
        ff = parted + (REBOUND * free + REBOUND_LEAST) ** 2
        return replace(self, free=free, ff=ff, fr=0.0, fs=0.0, read=True)

    @property
    def own(self) -> float:
        """Share of what is known of the rate that comes from the wine's own readings (0 to 1)."""
        return max(0.0, 1 - self.rr / self.prior)

    def aged(self, days: float) -> Belief:
        """Return it so many days later: free SO2 fades by its rate, the rate wanders, an addition binds."""
        if days <= 0:
            return self
        ebb = math.exp(-days / QUICK_DAYS)
        if not self.read:
            return replace(self, pool=self.pool * ebb, quick=self.quick * ebb)
        wander = DRIFT**2 * days / YEAR
        spent = self.loss * days
        left = math.exp(-spent)
        slope = -self.free * spent * left
        # A rate that wandered evenly over the time shows in the fall with a third of its variance.
        ff = left**2 * self.ff + 2 * left * slope * self.fr + slope**2 * (self.rr + wander / 3)
        return replace(
            self,
            free=self.free * left,
            ff=ff,
            fr=left * self.fr + slope * (self.rr + wander / 2),
            fs=left * self.fs + slope * self.rs,
            rr=self.rr + wander,
            pool=self.pool * ebb,
            quick=self.quick * ebb,
        )

    @property
    def loss(self) -> float:
        """What it loses in a day at its warmth, as a rate [1/d]: a day leaves exp(-loss) of it."""
        return math.exp(self.rate) * self.pace

    @property
    def spread(self) -> float:
        """Standard deviation of free SO2 [mg/L]."""
        return math.sqrt(max(self.ff, 0.0))

    @property
    def share_spread(self) -> float:
        """Standard deviation of the share that stays free."""
        return float(max(self.ss, 0.0) ** 0.5)

    def staying(self, share: float) -> float:
        """Return the share of a sulfite that stays free in this wine where the house rule has `share`."""
        return min(max(share + self.share, SHARE_LEAST), SHARE_MOST)

    def dosed(self, total: float, share: float) -> Belief:
        """Return it after sulfite that raises total SO2 by `total` [mg/L], `share` of it by the house rule."""
        stays = self.staying(share)
        more = replace(self, pool=self.pool + total, quick=self.quick + (1 - share) * total)
        if not self.read:
            return more
        return replace(
            more,
            free=self.free + stays * total,
            fr=self.fr + total * self.rs,
            fs=self.fs + total * self.ss,
            ff=self.ff + 2 * total * self.fs + total**2 * self.ss + (DOSE_ERROR * stays * total) ** 2,
        )

    def _scaled(self, part: float, more: float, brought: float = 0.0) -> Belief:
        return replace(
            self,
            free=self.free * part + brought,
            ff=self.ff * part**2 + more,
            fr=self.fr * part,
            fs=self.fs * part,
            pool=self.pool * part,
            quick=self.quick * part,
        )

    def thinned(self, part: float, *, same: bool | None = None) -> Belief:
        """Return it thinned to `part` (0 to 1) of the whole.

        `same` True: by wine of its own name; False: by another wine, which may have as much free SO2 or none; None: by
        what has no SO2.
        """
        if same is None:
            return self._scaled(part, 0.0)
        mean, spread = (self.free, POURED_SPREAD * self.free) if same else (self.free / 2, self.free / 2)
        return self._scaled(part, ((1 - part) * spread) ** 2, (1 - part) * mean)

    def topped(self, other: Belief, part: float) -> Belief:
        """Return it thinned to `part` (0 to 1) of the whole by a wine whose free SO2 is known."""
        return self._scaled(part, (1 - part) ** 2 * other.ff, (1 - part) * other.free)

    def racked(self) -> Belief:
        """Return it after a racking or a filtration, which both take in air."""
        return self._scaled(RACKED, (RACKED_SPREAD * self.free) ** 2)

    def moved(self, prior: Prior) -> Belief:
        """Return it in a vessel of another material: what was learned of the rate does not hold there."""
        width = prior.variance
        return replace(self, rate=prior.rate, rr=width, prior=width, fr=0.0, rs=0.0)

    @property
    def loose(self) -> float:
        """What a reading shows now and will have bound in a few days [mg/L]."""
        return max(0.0, self.quick - self.share * self.pool)

    def expected(self) -> float:
        """Return what a reading should show now [mg/L]: with what has not bound yet."""
        return self.free + self.loose

    def blur(self, method: str | None) -> float:
        """Return the variance of a reading around the free SO2 there is [(mg/L)2]."""
        return (QUICK_DOUBT * self.loose) ** 2 + noise(method, self.expected())

    def doubt(self, method: str | None) -> float:
        """Return the variance of a reading to come around what is expected [(mg/L)2]."""
        spread = self.ff - 2 * self.pool * self.fs + self.pool**2 * self.ss
        return max(spread, 0.0) + self.blur(method)

    def corrected(self, value: float, method: str | None) -> Belief:
        """Return it after a reading [mg/L]; one far off what was expected is trusted less and leaves more doubt."""
        if not self.read:
            return self._begun(value, method)
        off = value - self.expected()
        to_free = self.ff - self.pool * self.fs
        to_rate = self.fr - self.pool * self.rs
        to_share = self.fs - self.pool * self.ss
        spread = max(self.doubt(method), (off / FAR) ** 2)
        gain_f, gain_r, gain_s = to_free / spread, to_rate / spread, to_share / spread
        # Far off, the reading or the history is wrong; which one, only the next reading can tell.
        left = off * (1 - gain_f) if self.far(value, method) else 0.0
        return replace(
            self,
            free=max(0.0, self.free + gain_f * off),
            rate=self.rate + gain_r * off,
            share=self.share + gain_s * off,
            ff=self.ff - gain_f * to_free + left**2 / 4,
            fr=self.fr - gain_f * to_rate,
            fs=self.fs - gain_f * to_share,
            rr=self.rr - gain_r * to_rate,
            rs=self.rs - gain_r * to_share,
            ss=self.ss - gain_s * to_share,
        )

    def _begun(self, value: float, method: str | None) -> Belief:
        spread = noise(method, value) + (QUICK_DOUBT * self.loose) ** 2 + self.pool**2 * self.ss
        free = max(0.0, value - self.loose)
        return replace(self, free=free, ff=spread, fr=0.0, fs=self.pool * self.ss, read=True)

    def far(self, value: float, method: str | None, limit: float = FAR) -> bool:
        """Return whether a reading lies more than `limit` standard deviations from what is expected."""
        return self.read and (value - self.expected()) ** 2 > limit**2 * self.doubt(method)
