"""What the doctors of Excel and LibreOffice find."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Check:
    """One thing that a doctor looked at.

    Attributes
    ----------
    what, said : str
    state : {"well", "mind", "ill"}
    mend : str
    """

    what: str
    state: str
    said: str
    mend: str = ""
