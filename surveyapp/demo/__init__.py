"""An invented survey on real streets, with the truth it was drawn from.

Operators, nodes, phones, servers and every figure are invented; only the streets, buildings and
lamps are real. `write.write_demo` makes the notebook and keeps the truth apart from it, so that
any answer of this program can be scored.
"""
