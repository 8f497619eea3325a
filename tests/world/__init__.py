"""The world around the command: disks that are full, folders that are closed, signals, names."""
