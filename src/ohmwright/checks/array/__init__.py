"""The array and its controllers."""
