"""The screens in a browser, for a tablet by the rack."""
