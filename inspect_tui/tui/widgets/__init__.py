"""The parts that screens are made of; attributes come down, what was done goes up."""
