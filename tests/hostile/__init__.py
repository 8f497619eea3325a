"""Input made to do harm: bombs, cycles, claims of impossible size. All of it is made here."""
