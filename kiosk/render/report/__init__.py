"""Reports for people: measurements, rules, business figures and turnout."""
