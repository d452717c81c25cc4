"""An answer in layers, as rows for a sheet."""


def flat_rows(answer, path=""):
    """An answer in layers as rows of a name and values.

    Parameters
    ----------
    answer : dict, list or value

    Returns
    -------
    rows : list of list

    Examples
    --------
    >>> flat_rows({"verdict": "pays", "results": {"capital": {"value": 5.0}}})
    [['verdict', 'pays'], ['results, capital, value', 5.0]]
    """
    if isinstance(answer, dict):
        items = answer.items()
    elif isinstance(answer, list):
        if not any(isinstance(item, dict | list) for item in answer):
            return [[path, *answer]]
        items = enumerate(answer, 1)
    else:
        return [[path, answer]]
    rows = []
    for key, value in items:
        rows += flat_rows(value, f"{path}, {key}" if path else str(key))
    return rows
