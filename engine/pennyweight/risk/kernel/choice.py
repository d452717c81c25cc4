"""Choices between two values as single instructions of the processor.

Written as ``a if c else b`` each would be a fork of the kernel, and compiling it would
take several times as long.
"""

from numba import types
from numba.core.typing import signature
from numba.extending import lower_builtin, type_callable

NUMBER, TRUTH = types.float64, types.boolean


def choose(condition, first, second):
    """Give the first where the condition holds, else the second."""
    return first if condition else second


def larger(first, second):
    """Give the larger; a first that is not-a-number passes through."""
    return first if first > second or first != first else second


def smaller(first, second):
    """Give the smaller; a first that is not-a-number passes through."""
    return first if first < second or first != first else second


@type_callable(choose)
def _type_of_choice(context):
    def typed(condition, first, second):
        kind = TRUTH if first == second == TRUTH else NUMBER
        return signature(kind, TRUTH, kind, kind)

    return typed


@lower_builtin(choose, TRUTH, TRUTH, TRUTH)
@lower_builtin(choose, TRUTH, NUMBER, NUMBER)
def _write_choice(context, builder, made, values):
    return builder.select(*values)


def _compile(extreme, sign):
    @type_callable(extreme)
    def _type_of_extreme(context):
        return lambda first, second: signature(NUMBER, NUMBER, NUMBER)

    @lower_builtin(extreme, NUMBER, NUMBER)
    def _write_extreme(context, builder, made, values):
        first, second = values
        ahead = builder.fcmp_ordered(sign, first, second)
        none = builder.fcmp_unordered("uno", first, first)
        return builder.select(builder.or_(ahead, none), first, second)


_compile(larger, ">")
_compile(smaller, "<")
