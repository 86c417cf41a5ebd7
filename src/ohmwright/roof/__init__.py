"""The roof: where modules lie, what shades them hour by hour, and what the array makes of the light that is left."""
