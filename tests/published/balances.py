"""Metal balances, mixtures and rules of thumb in print."""

# Examination question, cdquestions.com (GATE metallurgy): feed 10, concentrate 30,
# tail 1 %; 93 printed, 93.103 in its steps. Read.
TWO_PRODUCTS = {"feed": 10.0, "concentrate": 30.0, "tail": 1.0, "recovery": 0.93103}
TWO_PRODUCTS_SOURCE = "GATE question on a copper concentrator, cdquestions.com"

# Recalled from a textbook of Wills's kind: 0.8, 25, 0.15; 81.74 %.
RECALLED = {"feed": 0.8, "concentrate": 25.0, "tail": 0.15, "recovery": 0.8174}

# Coulson & Richardson, Chemical Engineering vol. 2, example 1.6: inputs read.
SIZES = ([0.10, 0.15, 0.35, 0.20, 0.10, 0.10], [0.20, 0.40, 0.80, 0.90, 0.95, 1.0])
SIZES_RECOVERY = 0.735
SIZES_SOURCE = "Coulson & Richardson vol. 2, example 1.6 (inputs read)"

# Beringer & Beringer, A Text-book of Assaying, silver ore with metallics, read
# (superbook.org.ua, page 201): 1 g at 84.2 %, 399 g at 0.525 %; 0.7342 %, which its
# table turns into 239.84 ounces to the long ton.
METALLICS = {"coarse": (1.0, 84.2), "fine": (399.0, 0.525), "percent": 0.7342}
METALLICS_OUNCES = 239.84
METALLICS_SOURCE = "Beringer & Beringer, A Text-book of Assaying, p. 201 of the copy"

# Liddell 1922, Handbook of Chemical Engineering, part I, leaf 339 (archive.org), read.
TABLES_A_DAY = (5.0, 20.0)
TABLES_SOURCE = "Liddell 1922, Handbook of Chemical Engineering, leaf 339"

# Turton et al., Analysis, Synthesis, and Design of Chemical Processes, 3rd ed.,
# example 7.3, p. 187 of the copy, read: twice the size costs 52 % more.
DOUBLED = 1.52
DOUBLED_SOURCE = "Turton et al., 3rd ed., example 7.3"

# Taylor's rule, recalled: reserve, t; years.
TAYLOR = [(10_000, 2.00), (100_000, 3.56)]

# miningdoc.tech, "How is dilution calculated in mining", read: 100 t with 10 t of
# waste are 9.1 % of the feed or 10 % of the ore. Its mixed grade (10 t of 4 % in
# 100 t of 10 %) is printed as 9.127 %; the mixture is 9.4545 %.
DILUTION = {"ore": 100.0, "waste": 10.0, "of_feed": 0.091, "of_ore": 0.10}
DILUTION_GRADES = {"ore": 10.0, "waste": 4.0, "printed": 9.127, "right": 9.454545}
DILUTION_SOURCE = "miningdoc.tech, how is dilution calculated in mining"

# AACE 18R-97, outer ends of each class, read in a glossary (soma, AACE 18R-97).
CLASSES = {
    5: (-0.50, 1.00),
    4: (-0.30, 0.50),
    3: (-0.20, 0.30),
    2: (-0.15, 0.20),
    1: (-0.10, 0.15),
}
CLASSES_SOURCE = "AACE International 18R-97, as a glossary summarises it"
