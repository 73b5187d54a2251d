"""Circuit computation: what copper, batteries and motors do, from published formulas."""
