"""Reading a carer's reply: text and context in, a Reading out."""
