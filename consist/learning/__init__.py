"""Learning: how sure a check is, and what would make it surer."""
