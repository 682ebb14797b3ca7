"""The words of the house: channels, units, records, findings, sources, refusals. No behaviour."""
