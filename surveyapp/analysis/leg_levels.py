"""What a level is made of, at one leg of one reading."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True, slots=True)
class LegLevels:
    """The row of `Levels` that belongs to one leg, as plain numbers in dB and dBm."""

    loss_seen_db: float
    loss_hidden_db: float
    gain_db: float
    level_seen_dbm: float
    level_hidden_dbm: float
    sigma_seen_db: float
    sigma_hidden_db: float
    eirp_sigma_db: float
    blocked: float
    turned: float
    turned_gain_db: float

    @property
    def blocking_db(self) -> float:
        """What a blocked line of sight costs."""
        return self.loss_hidden_db - self.loss_seen_db
