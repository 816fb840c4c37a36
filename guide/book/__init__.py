"""The book: cloth on the shelf, orders, what was made and what it brought. Planning and sewing need nothing of it."""
