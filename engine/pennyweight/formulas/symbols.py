"""NumPy functions with their spreadsheet symbols, and advice on some without."""

import numpy as np

ARITHMETIC = {
    np.add: "+",
    np.subtract: "-",
    np.multiply: "*",
    np.divide: "/",
    np.power: "^",
    np.float_power: "^",
}
COMPARISONS = {
    np.less: "<",
    np.less_equal: "<=",
    np.greater: ">",
    np.greater_equal: ">=",
    np.equal: "=",
    np.not_equal: "<>",
}
ELEMENTWISE = {
    np.sqrt: "SQRT",
    np.exp: "EXP",
    np.log: "LN",
    np.log10: "LOG10",
    np.absolute: "ABS",
    np.fabs: "ABS",
    np.sign: "SIGN",
    np.sin: "SIN",
    np.cos: "COS",
    np.tan: "TAN",
    np.arcsin: "ASIN",
    np.arccos: "ACOS",
    np.arctan: "ATAN",
    np.floor: "INT",
    np.trunc: "TRUNC",
    np.remainder: "MOD",
}
COLLAPSING = {np.maximum: "MAX", np.minimum: "MIN"}
LOGICAL = {np.logical_and: "AND", np.logical_or: "OR", np.logical_not: "NOT"}
OVER_RANGE = {
    np.max: "MAX",
    np.min: "MIN",
    np.mean: "AVERAGE",
    np.prod: "PRODUCT",
}
ADVICE = {
    np.rint: "spreadsheets round halves away from zero: use formulas.rounded",
    np.round: "spreadsheets round halves away from zero: use formulas.rounded",
    np.log1p: "write np.log(1 + x)",
    np.expm1: "write np.exp(x) - 1",
    np.cumsum: "write a line that reads its own opening_ value",
}
