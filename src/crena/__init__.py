"""Crena: plan the cure of sacrococcygeal pilonidal sinus disease."""

__version__ = "0.1.0"
