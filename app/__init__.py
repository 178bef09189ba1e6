"""Outlay: from a measured yard and a designed plan to a priced, phased, signed proposal, and to what is built."""
