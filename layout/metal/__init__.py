"""What is formed: scallop forms, gauges, metals and how far they flex."""
