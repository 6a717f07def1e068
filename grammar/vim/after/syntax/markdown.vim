" Meniscus items in Markdown: added to whatever syntax of Markdown is in use.
runtime syntax/meniscus.vim
