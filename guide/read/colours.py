"""How light a colour is: relative luminance, and the lightness of CIE 1976, by which light is told against dark."""


def parts(colour: str) -> tuple[float, float, float]:
    """Red, green and blue of `#rrggbb`, each from 0 to 1."""
    red, green, blue = (int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5))
    return red, green, blue


def luminance(red: float, green: float, blue: float) -> float:
    """Relative luminance, 0 to 1, of an sRGB colour whose parts go from 0 to 1 (IEC 61966-2-1; WCAG 2)."""
    linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in (red, green, blue)]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def lightness(colour: str) -> float:
    """L* of `#rrggbb`, 0 black to 100 white (CIE 1976, ISO/CIE 11664-4; the white is that of sRGB, D65).

    The same step looks about as large anywhere between black and white, whatever the hue.
    """
    light = luminance(*parts(colour))
    return 116 * light ** (1 / 3) - 16 if light > (6 / 29) ** 3 else light * (29 / 3) ** 3


def grey(light: float) -> str:
    """The grey of a lightness, as `#rrggbb`: `lightness` turned round."""
    linear = ((light + 16) / 116) ** 3 if light > 8 else light / (29 / 3) ** 3
    part = linear * 12.92 if linear <= 0.0031308 else 1.055 * linear ** (1 / 2.4) - 0.055
    return "#" + f"{round(255 * min(1.0, max(0.0, part))):02x}" * 3
