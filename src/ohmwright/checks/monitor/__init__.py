"""The shunt and its counter."""
