"""The rig laid up."""
