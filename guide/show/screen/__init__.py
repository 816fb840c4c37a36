"""The full-screen face: views of the record, one style table, one key loader, one application."""
