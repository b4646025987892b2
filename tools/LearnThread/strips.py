"""Strips about lines of invented photos, as the analyzer shows them to its net, and where thread and marks run in them by the renderer's truth.

Reads folders written by `MakeTestImages preview` (NAME.jpg and NAME.truth.json). Lengths in mm, pictures in blue, green, red.
"""
import glob
import json
import os

import cv2
import numpy as np

PIXELS_PER_MM = 6          # along and across, as Analyzer.Vision.Learnt.ThreadNet
HALF_WIDTH_MM = 4.0
ROWS = 48
CELL_MM = 2 / PIXELS_PER_MM
GROUND_SCALE_MM = 2.2
LEAST_NOISE, STRAIGHT_NOISES = 0.25, 4.0   # larger differences than so many noises count for less and less


def frame(family):
    """Unit vectors along and across a family's lines; y grows downward."""
    t = np.radians(family["angleDeg"])
    return np.array([np.cos(t), -np.sin(t)]), np.array([np.sin(t), np.cos(t)])


def lines_of(family, width_mm, height_mm):
    """Start and length of every intended line of a family inside the block."""
    along, across = frame(family)
    first = across @ np.array(family["throughMm"])
    ranks = [(across @ np.array(p) - first) / family["spacingMm"] for p in ((0, 0), (width_mm, 0), (width_mm, height_mm), (0, height_mm))]
    for rank in range(int(np.floor(min(ranks))), int(np.ceil(max(ranks))) + 1):
        foot = across * (first + rank * family["spacingMm"])
        low, high = -1e9, 1e9
        for at, step, most in ((foot[0], along[0], width_mm), (foot[1], along[1], height_mm)):
            if abs(step) < 1e-9:
                if at < -1e-6 or at > most + 1e-6:
                    low, high = 1, 0
                continue
            a, b = sorted(((0 - at) / step, (most - at) / step))
            low, high = max(low, a), min(high, b)
        if high - low > 4:
            yield foot + along * low, high - low


def read_strip(picture, photo_from_block, start, along, across, length_mm, pixels_per_mm):
    """The strip as the analyzer reads it: between pixels by bilinear weights, finer photos averaged."""
    width = int(round(length_mm * PIXELS_PER_MM)) // 2 * 2
    times = max(1, int(np.ceil(pixels_per_mm / (1.3 * PIXELS_PER_MM))))
    xs = (np.arange(width * times) + 0.5) / (PIXELS_PER_MM * times)
    ys = (np.arange(ROWS * times) + 0.5) / (PIXELS_PER_MM * times) - HALF_WIDTH_MM
    places = start + xs[None, :, None] * along + ys[:, None, None] * across
    at = cv2.perspectiveTransform(places.reshape(-1, 1, 2).astype(np.float32), photo_from_block).reshape(ROWS * times, width * times, 2)
    fine = cv2.remap(picture, at[..., 0], at[..., 1], cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    return fine if times == 1 else cv2.resize(fine, (width, ROWS), interpolation=cv2.INTER_AREA)


def comparable(strip):
    """Lightness and colour axes less their slow part, over their noise: three planes of float32."""
    lab = cv2.cvtColor(strip.astype(np.float32) / 255, cv2.COLOR_BGR2LAB)
    planes = np.empty((3,) + lab.shape[:2], np.float32)
    for k in range(3):
        slow = cv2.GaussianBlur(lab[..., k], (0, 0), GROUND_SCALE_MM * PIXELS_PER_MM, borderType=cv2.BORDER_REPLICATE)
        d = lab[..., k] - slow
        planes[k] = STRAIGHT_NOISES * np.arcsinh(d / (STRAIGHT_NOISES * max(1.4826 * np.median(np.abs(d)), LEAST_NOISE)))
    return planes


def course(points, start, along, across, cells, crossing_too=True):
    """Deviation of a polyline from the strip's middle at every cell, not a number where it does not run; None where it does not run along the strip at all."""
    p = np.array(points).reshape(-1, 2) - start
    s, u = p @ along, p @ across
    if not crossing_too and np.median(np.abs(np.diff(u))) > 0.25 * max(np.median(np.abs(np.diff(s))), 1e-9):
        return None
    order = np.argsort(s, kind="stable")
    v = np.interp((np.arange(cells) + 0.5) * CELL_MM, s[order], u[order], left=np.nan, right=np.nan)
    return v.astype(np.float32) if np.isfinite(v).any() and np.nanmin(np.abs(v)) < HALF_WIDTH_MM + 0.5 else None


def photos(folder):
    for path in sorted(glob.glob(os.path.join(folder, "*.truth.json"))):
        with open(path, encoding="utf-8") as file:
            yield json.load(file), cv2.imread(path[: -len(".truth.json")] + ".jpg")


def of_folder(folder, random):
    """Every line's strip, laid up to 2 mm beside its place, with the courses of thread and marks in it."""
    for truth, picture in photos(folder):
        width, height = truth["blockWidthMm"], truth["blockHeightMm"]
        plane = cv2.getPerspectiveTransform(np.float32([[0, 0], [width, 0], [width, height], [0, height]]), np.float32(truth["cornersPx"]))

        def at(x, y):
            v = plane @ np.array([x, y, 1.0])
            return v[:2] / v[2]

        middle, e = at(width / 2, height / 2), 0.01
        scale = np.sqrt(abs(np.linalg.det(np.array([(at(width / 2 + e, height / 2) - middle) / e, (at(width / 2, height / 2 + e) - middle) / e]))))
        for number, family in enumerate(truth["families"]):
            along, across = frame(family)
            own = [l for l in truth["lines"] if ord(l["id"][0]) - ord("A") == number]
            sewn = [l["holesMm"] for l in own if not l["missing"]]
            drawn = [l["markMm"] for l in own if len(l.get("markMm") or []) >= 4]
            for start, length in lines_of(family, width, height):
                start = start + across * random.uniform(-2, 2)
                strip = read_strip(picture, plane, start, along, across, length, scale)
                cells = strip.shape[1] // 2
                thread = [course(h, start, along, across, cells) for h in sewn if len(h) >= 4] + [course(h, start, along, across, cells, False) for h in truth["extraLines"] if len(h) >= 4]
                marks = [course(h, start, along, across, cells) for h in drawn]
                yield dict(strip=strip, thread=[v for v in thread if v is not None], marks=[v for v in marks if v is not None])
