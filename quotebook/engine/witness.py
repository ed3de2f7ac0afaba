"""Other engines asked about the same book: witnesses that share no arithmetic with ours.

Each witness is told formulas and inputs, never stored results, and answers with the same kinds of results as our own
engine: a value, or a reason why there is none. One door for each library; nothing else in quotebook imports them.
"""

from __future__ import annotations

from quotebook.engine.book import Evaluation, FormulaBook
from quotebook.errors import EngineError


def witness_formulas(book: FormulaBook) -> Evaluation:
    """Return what the library ``formulas`` answers; slow, a second or so for a thousand formulas.

    Errors: EngineError when the library gives up on the whole book.
    """
    from quotebook.engine.formulas_door import evaluate_with_formulas

    return evaluate_with_formulas(book)


def witness_ironcalc(book: FormulaBook) -> Evaluation:
    """Return what the library ``ironcalc`` answers.

    Errors: EngineError when the library is not installed, or gives up on the whole book.
    """
    try:
        import ironcalc  # noqa: F401
    except ImportError as missing:
        raise EngineError(
            "witness ironcalc: the library is not installed, and is needed to ask it; install quotebook[witness]"
        ) from missing
    from quotebook.engine.ironcalc_door import evaluate_with_ironcalc

    return evaluate_with_ironcalc(book)
