"""What a cellar exchanges with the world around it: sheets in and out, a calendar, paper."""
