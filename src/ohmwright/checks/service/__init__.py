"""Access, ownership and vital loads."""
