"""The network: states, proofs on sets of terminals, nodal solution, faults."""
