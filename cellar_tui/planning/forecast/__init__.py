"""The forecast of free SO2: a filter carried along a filling's log, and the day on which the risk is too great."""
