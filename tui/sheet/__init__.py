"""The setup sheet: one model of what a mechanic hands over, as plain text, Markdown or one page of HTML."""
