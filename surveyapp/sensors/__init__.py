"""The machine's sensors, each a port with a real adapter and a fake; `machine` has them all."""
