"""The local web app: one page, a small JSON API that the page is a client of, and the server that carries both."""
