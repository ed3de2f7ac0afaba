"""Quote sheets typed in haste from ``brief.md``, in the ways of different people, with the mistakes that came of it.

The mistakes were listed by hand afterwards, in ``mistakes.toml``; each module has ``build(book)`` and ``PRICE``.
"""
