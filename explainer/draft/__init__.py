"""A first study.yaml from files as they come out of spreadsheets."""
