"""Letters and figures of three by five points, large enough to be read from across a room."""

from __future__ import annotations

_FONT = {
    "0": "75557", "1": "26227", "2": "71747", "3": "71717", "4": "55711",
    "5": "74717", "6": "74757", "7": "71111", "8": "75757", "9": "75717",
    "A": "25755", "B": "65656", "C": "34443", "D": "65556", "E": "74647", "F": "74644", "G": "34553", "H": "55755",
    "I": "72227", "J": "11152", "K": "55655", "L": "44447", "M": "57755", "N": "65555", "O": "25552", "P": "65644",
    "Q": "25563", "R": "65655", "S": "34216", "T": "72222", "U": "55557", "V": "55552", "W": "55775", "X": "55255",
    "Y": "55222", "Z": "71247", " ": "00000", "-": "00700", ".": "00002", "/": "11244", "'": "22000",
}  # fmt: skip
"""Each letter row by row from the top, a row as the sum of its points: 4 left, 2 middle, 1 right."""
ROWS, POINTS = 5, 3
_HALVES = {(True, True): "█", (True, False): "▀", (False, True): "▄", (False, False): " "}


def drawable(text: str) -> bool:
    """Return whether there is a letter for everything in a text."""
    return all(char in _FONT for char in text.upper())


def _points(text: str) -> list[list[bool]]:
    """Return a text as five rows of points, one free between two letters."""
    rows = []
    for row in range(ROWS):
        line: list[bool] = []
        for char in text.upper():
            bits = int(_FONT[char][row])
            line += [bool(bits & 4), bool(bits & 2), bool(bits & 1), False]
        rows.append(line[:-1])
    return rows


def width(text: str, scale: int) -> int:
    """Return the cells that a text takes at a scale; 0 is half the height of 1."""
    return max(0, len(text) * (POINTS + 1) - 1) * max(1, 2 * scale)


def height(scale: int) -> int:
    """Return the lines that a text takes at a scale."""
    return ROWS * scale if scale else (ROWS + 1) // 2


def lines(text: str, scale: int, *, plain: bool = False) -> list[str]:
    """Return a text in large letters.

    Args:
        text: letters, figures and spaces, see `drawable`.
        scale: lines a point takes, each point twice as wide; 0 puts two points above each other into a cell.
        plain: draw with letters of ASCII; there is no scale 0 for it.
    """
    points = _points(text)
    if scale:
        ink = "#" if plain else "█"
        drawn = ["".join((ink if point else " ") * 2 * scale for point in row) for row in points]
        return [line.rstrip() for line in drawn for _ in range(scale)]
    points.append([False] * len(points[0]))
    pairs = zip(points[::2], points[1::2], strict=True)
    return ["".join(_HALVES[pair] for pair in zip(*rows, strict=True)).rstrip() for rows in pairs]
