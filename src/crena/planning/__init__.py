"""Search, limits, front, refusals and uncertainty: the only room that composes steps."""
