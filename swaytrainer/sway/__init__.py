"""Pure measures of standing: loads to centre of pressure, filters, sway, feet. No I/O."""
