"""HTML to PDF, plan sheets and views as SVG, signing."""
