"""The demo cellar: an invented story of invented wines, told through the service with its guards on."""
