"""The forecast of free SO2: a filter that is carried along a filling's log, and the day on which its risk is too great."""
