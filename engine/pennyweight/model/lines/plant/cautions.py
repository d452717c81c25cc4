"""Safety cautions on the sheets of the plant, test lot and samples."""

from ...line import Section

plant = Section("Plant", "Cautions at the plant")
lot = Section("Test lot", "Cautions at the test lot")
samples = Section("Samples", "Cautions with samples")


@plant.line("Crusher, mill and belts")
def caution_crushing():
    """Wet the rock. Guards on; lock out and tag before any hand goes in."""
    return "silica dust, moving parts"


@plant.line("Roasting and melting")
def caution_furnace():
    """Sulphides give off arsenic and sulphur dioxide: hood, respirator, open air."""
    return "arsenic, sulphur, lead fumes"


@plant.line("Furnace and moulds")
def caution_metal():
    """Moulds, fluxes and tools dry and hot; face shield, leathers, ventilation."""
    return "molten metal"


@plant.line("Tailings and water")
def caution_tailings():
    """Sulphides turn to acid and carry metals; contain them, permits first."""
    return "acid and metals"


@lot.line("Milling and melting the lot")
def caution_lot():
    """As at the plant: wet the rock, guards on, hood over the furnace."""
    return "dust, moving parts, fumes"


@samples.line("Crushing, splitting and assaying")
def caution_samples():
    """Under extraction, with a fitted respirator; fire assay fumes carry lead."""
    return "silica dust, lead"
