"""One module per kind of part: figures, ports, poles, insides."""
