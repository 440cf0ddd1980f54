"""The rules of cellar practice, one file each; `table.RULES` lists them in walking order."""
