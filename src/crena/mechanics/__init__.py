"""The room of the sheet of skin that is cut, moved and sutured: mesh, material and balance."""
