"""Takeoff: formulas, assemblies, requirements, packs and purchases."""
