"""Sentences that stand in the books: purpose, cautions, limits."""

PURPOSE = (
    "Does this claim pay, and down to what grade or price? From the rock in the "
    "ground through crusher, mill, tables and furnace to the cash, month by month."
)
PURPOSES = {
    "everything": PURPOSE,
    "claim": PURPOSE,
    "contract": "What milling a customer's ore costs, what to charge, and what each "
    "kind of contract leaves to the mill and to the owner of the ore.",
    "lot": "What one milled lot is worth, what the mill charges for it, and who owes "
    "what to whom.",
    "test": "What the rock of a test lot carries per ton, and how much of its gold the "
    "tables catch.",
}

HOW_TO = (
    "Enter your figures in the yellow cells, first those on the sheet Start, then "
    "those on Inputs. An empty cell takes the estimate beside it.",
    "Each cell says what it may hold; the sheets are protected without a password.",
    "What a balance weighs, such as buttons, bullion and the gold of a test lot, is in "
    "grams. Gold that is paid for or shared out is in troy ounces of 31.1035 g.",
    "Click any other cell to read its formula: it uses the names of inputs and lines.",
    "The line under each sheet's title shows the verdict and the state of the checks.",
    "Works in Excel, LibreOffice and Gnumeric. No macro, no link, nothing to install.",
)

SCOPE = (
    "One ore, one mill, up to 120 months. While Inflation is 0, money is real: nothing "
    "is inflated after the price date, and rates are real. The loan alone is at its "
    "nominal rate, which overstates its cost when prices rise. Tax is assessed by tax "
    "year under the rule chosen, and paid some months later.",
    "Sustaining capital counts against tax at once. The present value and the rate of "
    "return are before any loan, and so is their tax; the owner's own cash has the "
    "loan, and the tax that its interest saves.",
    "Payments fall at the end, middle or start of their month, as chosen; the first "
    "month is month 1, and the present value is that of its start.",
)

LIMITS = (
    "These are estimates at the level of the estimate class chosen. They are not a "
    "mineral resource or reserve, not a technical report, not prepared by a qualified "
    "person, and not investment, tax or legal advice.",
    "Have assays, plant, electrical work, explosives and earthworks checked by "
    "licensed professionals; follow mine-safety and environmental law and local codes.",
)

CAUTIONS = (
    "Dust of quartz rock scars the lungs: crush wet or under extraction, wear a "
    "fitted respirator, have the air measured.",
    "Crushers, mills and belts: guards on; lock out and tag before any hand goes in.",
    "Furnace: dry moulds and fluxes, face shield, leathers, ventilation. Lead and flux "
    "fumes are poisonous; roasted or melted sulphides give off arsenic and sulphur.",
    "Mercury and cyanide are not used in this plant; their use needs a licence.",
    "Tailings and water: sulphides turn to acid and carry metals; permits come first.",
    "Lifting of liners and balls, and pressure in pumps and hoses, injure people.",
)
