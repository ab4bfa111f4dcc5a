"""How the method book is built: settings, equations as MathML, and the pages that are made from the program."""
