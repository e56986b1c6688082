"""The room of the tract map, from probing and MRI, and the excision that clears it."""
