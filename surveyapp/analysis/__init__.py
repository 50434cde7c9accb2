"""Judgement over rows of the notebook: what an entry means, and what weakens it."""
