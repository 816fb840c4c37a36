"""Pages people keep, as self-contained HTML and as Markdown, printed from one report."""
