"""What belongs in a workbook's package: all else is a finding.

Kinds of parts, relations, elements and functions that are known to neither run, fetch
nor start anything. Those that pennyweight does not write itself are written by Excel,
LibreOffice, Gnumeric or libraries, beside comments, pictures and tables.
"""

from openpyxl.utils import FORMULAE

from ...model.inputs import rows_of


def _words(text):
    return frozenset(text.split())


TYPES = frozenset(
    f"application/vnd.{kind}"
    for kind in (
        "openxmlformats-officedocument.custom-properties+xml",
        "openxmlformats-officedocument.customxmlproperties+xml",
        "openxmlformats-officedocument.drawing+xml",
        "openxmlformats-officedocument.drawingml.chart+xml",
        "openxmlformats-officedocument.drawingml.chartshapes+xml",
        "openxmlformats-officedocument.extended-properties+xml",
        "openxmlformats-officedocument.spreadsheetml.calcchain+xml",
        "openxmlformats-officedocument.spreadsheetml.chartsheet+xml",
        "openxmlformats-officedocument.spreadsheetml.comments+xml",
        "openxmlformats-officedocument.spreadsheetml.printersettings",
        "openxmlformats-officedocument.spreadsheetml.sharedstrings+xml",
        "openxmlformats-officedocument.spreadsheetml.sheet.main+xml",
        "openxmlformats-officedocument.spreadsheetml.sheetmetadata+xml",
        "openxmlformats-officedocument.spreadsheetml.styles+xml",
        "openxmlformats-officedocument.spreadsheetml.table+xml",
        "openxmlformats-officedocument.spreadsheetml.template.main+xml",
        "openxmlformats-officedocument.spreadsheetml.worksheet+xml",
        "openxmlformats-officedocument.theme+xml",
        "openxmlformats-officedocument.themeoverride+xml",
        "openxmlformats-officedocument.vmldrawing",
        "openxmlformats-package.core-properties+xml",
        "openxmlformats-package.relationships+xml",
        "ms-excel.person+xml",
        "ms-excel.threadedcomments+xml",
        "ms-office.chartcolorstyle+xml",
        "ms-office.chartstyle+xml",
        "ms-office.classificationlabels+xml",
    )
) | {"application/xml", "text/xml", "application/binary"}
"""The last is what Google Sheets calls its own record, which holds no program."""
PICTURES = tuple(
    f"image/{kind}"
    for kind in (
        "png",
        "jpeg",
        "jpg",
        "gif",
        "bmp",
        "tiff",
        "x-emf",
        "x-wmf",
        "svg+xml",
    )
)
RELATIONS = _words(
    """
    calcchain chart chartcolorstyle chartsheet chartstyle chartusershapes
    classificationlabels comments core-properties custom-properties customxml
    customxmlprops drawing extended-properties hyperlink image officedocument person
    printersettings sharedstrings sheetmetadata styles table theme themeoverride
    threadedcomment thumbnail vmldrawing workbookmetadata worksheet
    """
)
ELEMENTS = _words(
    """
    alternatecontent autofilter bookviews brk c calcfeatures calcpr cellwatch
    cellwatches cfrule cfvo choice col colbreaks color colorscale cols
    conditionalformatting custompr customproperties customsheetview customsheetviews
    customworkbookview customworkbookviews databar datavalidation datavalidations
    datetimegroupitem definedname definednames dimension drawing drawinghf
    dynamicfilter evenfooter evenheader ext extlst f fallback feature filerecoverypr
    filesharing fileversion filter filtercolumn filters firstfooter firstheader
    formula formula1 formula2 headerfooter hyperlink hyperlinks iconfilter iconset
    ignorederror ignorederrors is legacydrawing legacydrawinghf mergecell mergecells
    oddfooter oddheader outlinepr pagemargins pagesetup pagesetuppr pane phoneticpr
    printoptions protectedrange protectedranges row rowbreaks selection sheet
    sheetcalcpr sheetdata sheetformatpr sheetpr sheetprotection sheets sheetview
    sheetviews sortcondition sortstate t tabcolor tablepart tableparts top10 v
    webpublishing workbook workbookpr workbookprotection workbookview worksheet
    r rpr rph b i u strike sz rfont family charset scheme vertalign outline shadow
    condense extend colorfilter customfilter customfilters
    extcalcpr revisionptr abspath documentid workbookext
    conditionalformattings borderColor fillColor negativefillcolor negativebordercolor
    axiscolor cficon dxf font fill border left right top bottom bgcolor fgcolor
    patternfill numfmt alignment protection
    sparkline sparklines sparklinegroup sparklinegroups colorseries colornegative
    coloraxis colormarkers colorfirst colorlast colorhigh colorlow
    sqref googlesheetscustomdataversion1 googlesheetscustomdataversion2
    """.lower()
)
"""Elements of the workbook's part and of the sheets' parts, in small letters."""
REACHING = _words(
    """
    CALL CUBEKPIMEMBER CUBEMEMBER CUBEMEMBERPROPERTY CUBERANKEDMEMBER CUBESET
    CUBESETCOUNT CUBEVALUE DDE DDEINITIATE EVALUATE EXEC FILES GET.CELL GET.DOCUMENT
    GET.WORKBOOK GET.WORKSPACE HYPERLINK IMAGE IMPORTDATA IMPORTFEED IMPORTHTML
    IMPORTRANGE IMPORTXML INFO OPEN PY REGISTER REGISTER.ID RTD RUN SQL.REQUEST
    SQLREQUEST STOCKHISTORY TRANSLATE WEBSERVICE
    """
)
"""Functions that reach outside the workbook, or start something."""
NEWER = _words(
    """
    AGGREGATE ARRAYTOTEXT BYCOL BYROW CHOOSECOLS CHOOSEROWS CONCAT DROP EXPAND FILTER
    FILTERXML FORECAST.LINEAR GROUPBY HSTACK IFS ISOMITTED LAMBDA LET MAKEARRAY MAP
    MAXIFS MINIFS PERCENTOF PIVOTBY RANDARRAY REDUCE REGEXEXTRACT REGEXREPLACE
    REGEXTEST SCAN SEQUENCE SINGLE ANCHORARRAY SORT SORTBY SWITCH TAKE TEXTAFTER
    TEXTBEFORE TEXTJOIN TEXTSPLIT TOCOL TOROW TRIMRANGE UNIQUE VALUETOTEXT VSTACK
    WRAPCOLS WRAPROWS XLOOKUP XMATCH XOR IFNA DAYS ISOWEEKNUM FORMULATEXT SHEET SHEETS
    ISFORMULA NUMBERVALUE UNICHAR UNICODE ENCODEURL PDURATION RRI ARABIC BASE DECIMAL
    CEILING.MATH FLOOR.MATH CEILING.PRECISE FLOOR.PRECISE ISO.CEILING COMBINA
    PERMUTATIONA GAUSS PHI GAMMA GAMMALN.PRECISE SKEW.P BINOM.DIST BINOM.DIST.RANGE
    BINOM.INV CHISQ.DIST CHISQ.DIST.RT CHISQ.INV CHISQ.INV.RT CHISQ.TEST
    CONFIDENCE.NORM CONFIDENCE.T COVARIANCE.P COVARIANCE.S ERF.PRECISE ERFC.PRECISE
    EXPON.DIST F.DIST F.DIST.RT F.INV F.INV.RT F.TEST GAMMA.DIST GAMMA.INV
    HYPGEOM.DIST LOGNORM.DIST LOGNORM.INV MODE.MULT MODE.SNGL NEGBINOM.DIST
    NETWORKDAYS.INTL NORM.DIST NORM.INV NORM.S.DIST NORM.S.INV PERCENTILE.EXC
    PERCENTILE.INC PERCENTRANK.EXC PERCENTRANK.INC POISSON.DIST QUARTILE.EXC
    QUARTILE.INC RANK.AVG RANK.EQ STDEV.P STDEV.S T.DIST T.DIST.2T T.DIST.RT T.INV
    T.INV.2T T.TEST VAR.P VAR.S WEIBULL.DIST WORKDAY.INTL Z.TEST BETA.DIST BETA.INV
    BITAND BITOR BITXOR BITLSHIFT BITRSHIFT IMCOSH IMCOT IMCSC IMCSCH IMSEC IMSECH
    IMSINH IMTAN ACOT ACOTH COT COTH CSC CSCH SEC SECH MUNIT FORECAST.ETS TRUE FALSE
    """
)
FUNCTIONS = (frozenset(FORMULAE) | NEWER) - REACHING
BEGINNINGS = {
    b"\xd0\xcf\x11\xe0": "an Office file of the old kind, in which macros may be",
    b"MZ": "a program",
    b"\x7fELF": "a program",
    b"PK\x03\x04": "an archive",
    b"#!": "a script",
    b"<scr": "a script",
    b"<htm": "a web page",
}
"""First bytes of what no picture and no printer setting begins with."""
UNKNOWN = "a part of an unknown kind"
WORDS = rows_of("foreign_parts.csv", __package__)
"""Part of a kind, a relation or a name; what it is; what to do."""


def in_words(*told):
    """What is foreign, and what to do, from what it says of itself.

    Parameters
    ----------
    *told : str
        Content type, kind of relation, name.

    Returns
    -------
    what, mend : str
    """
    for text in told:
        for row in WORDS:
            if row["mark"] in text.lower():
                return row["what"], row["mend"]
    return UNKNOWN, "Delete it, unless you know what it is for."
