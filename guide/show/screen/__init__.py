"""The full screen: views of the record, one style table, one key loader, one application."""
