"""witnessmark: what an amateur builder said, showed and did, as a dated log that can be trusted."""

__version__ = "0.1.0"
