"""The plan's geometry: outlines with arcs, shared edges. Knows outlines only, never a job."""
