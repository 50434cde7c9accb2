"""What the radio path, the antennas and the channels do: one module per matter, each naming its standard."""
