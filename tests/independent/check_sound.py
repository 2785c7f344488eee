"""Rates the spectra of plan.json by trying one shift after the other, and adds up the ways round the wall.

Shares no code with the program: ISO 717-1 and ISO 12354-1 anew, plain and slow.
"""

from __future__ import annotations

from math import floor, log10
from typing import Any

Json = dict[str, Any]

BANDS = [50, 63, 80, 100, 125, 160, 200, 250, 315, 400, 500, 630, 800, 1000, 1250, 1600, 2000, 2500, 3150]
BANDS += [4000, 5000]
# ISO 717-1, reference for third octaves from 100 Hz, and the two noise spectra. [dB]
REFERENCE = [33, 36, 39, 42, 45, 48, 51, 52, 53, 54, 55, 56, 56, 56, 56, 56]
LIVING = [-29, -26, -23, -21, -19, -17, -15, -13, -12, -11, -10, -9, -9, -9, -9, -9]
TRAFFIC = [-20, -20, -18, -16, -15, -14, -13, -12, -11, -9, -8, -9, -10, -11, -13, -15]
RATED = slice(BANDS.index(100), BANDS.index(3150) + 1)


def rw(spectrum: list[float], steps: int) -> float:
    """Rw with the reference moved in so many steps to a decibel: 1 as declared, 10 in tenths."""
    values = [floor(10 * r + 0.5) for r in spectrum[RATED]]
    shift = 100 * steps
    while True:
        moved = [10 * line + shift * 10 // steps for line in REFERENCE]
        short = sum(max(0, line - value) for line, value in zip(moved, values, strict=True))
        if short <= 320:
            return 52 + shift / steps
        shift -= 1


def term(spectrum: list[float], noise: list[int]) -> int:
    """C or Ctr."""
    values = [floor(10 * r + 0.5) / 10 for r in spectrum[RATED]]
    through = sum(10 ** ((level - r) / 10) for level, r in zip(noise, values, strict=True))
    return floor(-10 * log10(through) + 0.5) - int(rw(spectrum, 1))


def faults_of_sound(performance: Json) -> list[str]:
    """What is wrong with the sound of one wall."""
    sound = performance["sound"]
    if sound is None:
        told = any("sound is not judged" in note for note in performance["notes"])
        return [] if told else ["sound is left out and nobody says why"]
    faults = [] if sound["bands_hz"] == BANDS else ["bands are not those of 50 to 5000 Hz"]
    for state in ("before", "after"):
        spectrum, said = sound[f"r_{state}"], sound[state]
        found = {
            "rw": rw(spectrum, 1),
            "rw_tenths": rw(spectrum, 10),
            "c": term(spectrum, LIVING),
            "ctr": term(spectrum, TRAFFIC),
        }
        faults += [
            f"{state}, {name}: {said[name]}, {value} found"
            for name, value in found.items()
            if abs(said[name] - value) > 1e-6
        ]
    gain = rw(sound["r_after"], 10) - rw(sound["r_before"], 10)
    counted = min(gain, 0.0) if sound["no_gain"] else gain
    if abs(sound["gain"] - counted) > 1e-6:
        faults.append(f"gain: {sound['gain']}, {counted:.1f} found")
    verdicts = {verdict["requirement"]: verdict for verdict in performance["verdicts"]}
    judged = verdicts.get("improvement of the sound reduction by the lining")
    if judged and abs(judged["value"] - counted) > 1e-6:
        faults.append(f"the verdict on the gain says {judged['value']}, {counted:.1f} found")
    return faults + (_rooms(sound["rooms"]) if sound["rooms"] else [])


def _rooms(rooms: Json) -> list[str]:
    """R'w from its ways, their shares, DnT,w from R'w."""
    faults = []
    for state in ("before", "after"):
        if rooms["bands_hz"]:
            whole, shares, more = _by_band(rooms, state)
        else:
            whole, shares, more = _by_single_numbers(rooms, state)
        faults += more
        if abs(rooms[f"rw_{state}"] - whole) > 0.01:
            faults.append(f"R'w {state}: {rooms[f'rw_{state}']}, {whole:.2f} found")
        said = [path[f"share_{state}"] for path in rooms["paths"]]
        if any(abs(a - b) > 0.01 for a, b in zip(shares, said, strict=True)):
            faults.append(f"shares {state} are not those of the ways")
        if rooms["volume_m3"] is not None:
            level = whole + 10 * log10(0.32 * rooms["volume_m3"] / rooms["area_m2"])
            if abs(rooms[f"dntw_{state}"] - level) > 0.01:
                faults.append(f"DnT,w {state}: {rooms[f'dntw_{state}']}, {level:.2f} found")
    return faults


def _by_single_numbers(rooms: Json, state: str) -> tuple[float, list[float], list[str]]:
    """R'w, shares [%], faults: energies of the weighted ways added."""
    through = [10 ** (-path[f"rw_{state}"] / 10) for path in rooms["paths"]]
    whole = -10 * log10(sum(through))
    single = rooms[f"rw_single_{state}"]
    faults = (
        [] if abs(single - whole) < 0.01 else [f"R'w {state} by single numbers is {single} beside itself"]
    )
    return whole, [100 * part / sum(through) for part in through], faults


def _by_band(rooms: Json, state: str) -> tuple[float, list[float], list[str]]:
    """The same, added band by band and rated; shares are of living noise, 100 to 3150 Hz."""
    faults = [] if rooms["bands_hz"] == BANDS else ["bands of the rooms are not those of 50 to 5000 Hz"]
    ways = [path[f"r_{state}"] for path in rooms["paths"]]
    together = [-10 * log10(sum(10 ** (-r / 10) for r in band)) for band in zip(*ways, strict=True)]
    if any(abs(a - b) > 0.01 for a, b in zip(together, rooms[f"r_{state}"], strict=True)):
        faults.append(f"R' {state} by band is not what its ways make together")
    faults += [
        f"{path['along']} {path['route']}, {state}: {path[f'rw_{state}']}, {rw(way, 10)} found"
        for path, way in zip(rooms["paths"], ways, strict=True)
        if abs(path[f"rw_{state}"] - rw(way, 10)) > 1e-6
    ]
    arriving = [
        sum(10 ** ((level - r) / 10) for level, r in zip(LIVING, way[RATED], strict=True)) for way in ways
    ]
    return rw(rooms[f"r_{state}"], 10), [100 * part / sum(arriving) for part in arriving], faults
