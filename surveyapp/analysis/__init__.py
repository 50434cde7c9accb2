"""Judgement over rows of the notebook: what an entry means, and what weakens it.

A stop's rows come in as a `StopScene`, a survey's as many of them; answers are dataclasses that
hold their reasons. Begin with one question each:

- who served: `standing` at one stop, `tied_cells` over a survey;
- what was to be expected: `expectation`, and how the phones, visits and hours differ: `compare`;
- how far a sector reaches: `coverage` and `gaps`; where to stand next: `next_stand` and `tour`;
- what is to be doubted: `doubts`; in which order stops were walked: `stop_order`.

Their neighbours hold one step of one of these each, named after it.
"""
