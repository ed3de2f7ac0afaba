"""Quote sheets as shop owners make them: each typed in another style, sound, and written without knowing any check.

Each module has ``build(book)``, which fills an empty openpyxl workbook, and ``PRICE``, the cells in which the quoted
price stands, the one that the customer is told first. Companies, parts and prices are invented.
"""
