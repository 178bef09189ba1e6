"""The yard seen from above and aside, to scale: what stands on the plan as solids, their order, light and shadow."""
