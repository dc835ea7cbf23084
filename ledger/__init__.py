"""Tarebook: an append-only ledger of refrigerant pounds and service facts."""

__version__ = "0.1.0"
