"""How a kind of calculation is declared, found, and what it gives."""
