"""WHAT IS KNOWN: standard hardware in CSV files, where anybody finds and corrects it, and their loader.

`families.csv` holds one row for each family of callouts and its grammar, `codes.csv` what each code means,
`bolt_lengths.csv`, `bolt_grips.csv`, `torque.csv` and so on the figures. Each row names its source and how well it is
known. A shop adds files of the same names and columns in its own folder `hardware/`.
"""
