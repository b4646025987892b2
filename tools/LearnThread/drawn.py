"""Strips of cloth with thread and look-alikes, drawn straight away: wider chances than whole invented photos have, and other ways to draw cloth, thread and light.

One call, one strip; lengths in mm, colours in CIE Lab. The courses that come with it are those it was drawn from.
"""
import multiprocessing

import cv2
import numpy as np

import strips

FINE = 2                                      # pixels drawn to a pixel of the strip
PER_MM = FINE * strips.PIXELS_PER_MM


def smooth(random, shape, sigma_mm):
    """Random hills of about one unit."""
    sigma = sigma_mm * PER_MM
    less = max(1, int(sigma / 3))
    small = tuple(int(np.ceil(n / less)) + 2 for n in shape)
    hills = cv2.GaussianBlur(random.standard_normal(small, np.float32), (0, 0), max(sigma / less, 0.5))
    hills = cv2.resize(hills, (shape[1] + 2 * less, shape[0] + 2 * less), interpolation=cv2.INTER_CUBIC)[less:less + shape[0], less:less + shape[1]]
    return hills / max(float(hills.std()), 1e-6)


def fading(x):
    """1 far below nothing, 0 far above."""
    return 1 / (1 + np.exp(np.clip(x, -30, 30)))


def colour_step(random, size):
    """A difference of colour: mostly of lightness, sometimes of colour alone."""
    v = random.normal(0, 1, 3) * ((1, 0.5, 0.5) if random.random() < 0.7 else (0.4, 1, 1))
    return v / np.linalg.norm(v) * size


def weave(random, x, y):
    turn, period = random.choice([0, 0, 30, 45, 45, 60]) + random.normal(0, 2), random.uniform(0.28, 0.8)
    t = np.radians(turn)
    u, v = np.cos(t) * x + np.sin(t) * y, np.cos(t) * y - np.sin(t) * x
    kind = random.integers(3)
    if kind == 0:
        cloth = np.sin(2 * np.pi * u / period) * np.sin(2 * np.pi * v / period)
    elif kind == 1:
        cloth = np.sin(2 * np.pi * (u + v) / period) + 0.3 * np.sin(2 * np.pi * v / period)
    else:
        cloth = np.abs(np.sin(np.pi * u / period)) - np.abs(np.sin(np.pi * v / period))
    return cloth * random.uniform(0.1, 2.5) * (1 + 0.3 * smooth(random, x.shape, 0.6))


def print_on(random, x, y):
    """How much of the print's ink lies where, 0 to 1."""
    kind = random.integers(6)
    soft = random.uniform(0.03, 0.15)
    if kind == 0:
        hills = smooth(random, x.shape, random.uniform(0.6, 4))
        return fading((random.uniform(0, 1) - hills) * random.uniform(1.2, 12))
    if kind in (1, 2):
        t, period = np.radians(random.choice([0, 2, -3, 30, 45, 60, 90, 120, 135]) + random.normal(0, 2)), random.uniform(1.2, 9)
        wide = random.uniform(0.15, 0.6)
        across = lambda angle: np.abs(((np.sin(angle) * x + np.cos(angle) * y + start) / period) % 1 - 0.5)
        start = random.uniform(0, period)
        ink = fading((across(t) - wide / 2) * period / soft)
        return ink if kind == 1 else 0.5 * ink + 0.5 * fading((across(t + np.pi / 2) - wide / 2) * period / soft)
    ink = np.zeros(x.shape, np.float32)
    span_x, span_y = float(x.max()), float(y.max())
    if kind == 3:                                                       # dots in rows
        t, apart, radius = np.radians(random.uniform(0, 90)), random.uniform(1.5, 6), random.uniform(0.25, 1.2)
        u, v = np.cos(t) * x + np.sin(t) * y, np.cos(t) * y - np.sin(t) * x
        u, v = (u / apart) % 1 - 0.5, (v / apart) % 1 - 0.5
        return fading((np.hypot(u, v) * apart - radius) / soft)
    for _ in range(int(random.integers(4, 30))):                        # sprigs: leaves and stalks
        at = (random.uniform(0, span_x) * PER_MM, (random.uniform(0, 2 * span_y) - span_y / 2) * PER_MM)
        if kind == 4:
            cv2.ellipse(ink, (int(at[0]), int(at[1])), (int(random.uniform(2, 16)), int(random.uniform(2, 30))), random.uniform(0, 180), 0, 360, float(random.uniform(0.4, 1)), -1, cv2.LINE_AA)
        else:
            way, bend, points = random.uniform(0, 2 * np.pi), random.normal(0, 0.12), [at]
            for _ in range(int(random.integers(6, 40))):
                way += bend + random.normal(0, 0.1)
                points.append((points[-1][0] + 5 * np.cos(way), points[-1][1] + 5 * np.sin(way)))
            cv2.polylines(ink, [np.int32(points)], False, float(random.uniform(0.4, 1)), int(random.integers(1, 9)), cv2.LINE_AA)
    return cv2.GaussianBlur(ink, (0, 0), max(soft * PER_MM, 0.3))


def wander(random, along, rms, shortest, longest):
    """A wobble of waves between two lengths."""
    waves = np.exp(random.uniform(np.log(shortest), np.log(longest), 7))
    size = waves ** random.uniform(0, 0.8)
    sum_ = sum(s * np.sin(2 * np.pi * along / w + p) for w, s, p in zip(waves, size, random.uniform(0, 2 * np.pi, 7)))
    return rms * sum_ / max(float(sum_.std()), 1e-6)


def wandering(random, rms):
    """A hand's wobble, as what it is at places along."""
    seed, shortest = int(random.integers(1 << 31)), random.uniform(4, 12)
    return lambda along: wander(np.random.default_rng(seed), along, rms, shortest, 60)


def crossing(random, x, y):
    """Along and across another family's line that crosses the strip."""
    t, at = np.radians(random.choice([30, 45, 60, 90, 120, 135, 150]) + random.normal(0, 2)), random.uniform(0, float(x.max()))
    c, n = np.float32(np.cos(t)), np.float32(np.sin(t))
    return c * (x - at) + n * y, c * y - n * (x - at)


def mark_course(random, along, near=None):
    """Drawn by a ruler: straight but for the cloth's own slow bending."""
    at = random.uniform(-3.8, 3.8) if near is None else near + random.normal(0, 0.6)
    return at + random.normal(0, 0.012) * (along - along.mean()) + wander(random, along, abs(random.normal(0, 0.06)), 25, 90)


def mark(random, along, from_middle, strength):
    """Amount of ink and its colour."""
    wide = random.uniform(0.1, 0.6)
    steep = random.uniform(0.03, 0.12)
    amount = fading((np.abs(from_middle) - wide / 2) / steep) if random.random() < 0.6 else np.exp(-0.5 * (from_middle / (0.6 * wide)) ** 2)
    kind = random.random()
    if kind < 0.2:
        dash = random.uniform(1, 8)
        amount = amount * fading((np.abs((along / dash + random.uniform()) % 1 - 0.5) - random.uniform(0.15, 0.42)) * dash / 0.08)
    elif kind < 0.6:
        grain = smooth(random, amount.shape, random.uniform(0.05, 0.25))
        amount = amount * np.clip(0.7 + random.uniform(0.2, 0.9) * grain, 0, 1.6)
    if random.random() < 0.4:
        amount = amount * np.clip(0.8 + 0.5 * smooth(random, (1, amount.shape[1]), random.uniform(2, 10)), 0, 1.3)
    return amount[..., None] * colour_step(random, strength)


def sew(random, lab, s, v, bend, light, contrast, ruler):
    """Lays thread, with its furrow, into a picture. `s` and `v`: along and across the thread's way at every pixel; `bend`: how far it wanders across at a place along; `light`: from which side, -1 to 1.
    Gives where thread runs and where it does not, by places along."""
    first = float(s.min())
    along = np.arange(first, float(s.max()) + 0.2, 1 / PER_MM)
    at = np.clip(((s - first) * PER_MM + 0.5).astype(np.int32), 0, len(along) - 1)
    course = bend(along)
    slope = np.gradient(course, 1 / PER_MM)
    u = ((v - course.astype(np.float32)[at]) / np.sqrt(1 + slope ** 2).astype(np.float32)[at])
    put = lambda table: np.asarray(table, np.float32)[at]
    bump = lambda wide: np.exp(-0.5 * (u / np.float32(wide)) ** 2)
    # Stitches.
    length = random.uniform(1.4, 4.2)
    ends = first - random.uniform(0, 2 * length) + np.cumsum(np.maximum(0.5, random.normal(length, random.uniform(0.03, 0.3) * length, int((along[-1] - first) / length * 2) + 8)))
    number = np.clip(np.searchsorted(ends, along), 1, len(ends) - 1)
    size = np.maximum(ends[number] - ends[number - 1], 0.3)
    phase = np.clip((along - ends[number - 1]) / size, 0, 1)
    from_end = np.minimum(phase, 1 - phase) * size
    shown = random.uniform(0, 0.25) if ruler else random.uniform(0.1, 1)           # how plainly stitches can be told apart
    there = np.ones(len(along))
    if random.random() < 0.15:
        cut = random.uniform(first, along[-1])
        there = (along < cut).astype(float) if random.random() < 0.5 else (np.abs(along - cut) > random.uniform(1, 5)).astype(float)
    # Furrow and puff.
    deep, wide = random.uniform(0, 1) ** 1.5 * random.uniform(1, 16), random.uniform(0.35, 1.4)
    pucker = put(1 + 0.35 * shown * np.cos(2 * np.pi * phase)) + random.uniform(0, 0.5) * smooth(random, s.shape, random.uniform(0.5, 2))
    relief = light * (u / wide) * bump(wide) * pucker
    if random.random() < 0.3:                                                       # a harder shadow beside the thread
        off, own = np.sign(light) * random.uniform(0.2, 0.9), random.uniform(0.12, 0.4)
        relief = relief - random.uniform(0.2, 1.2) * np.exp(-0.5 * ((u - off) / own) ** 2)
    relief = relief - random.uniform(0, 0.7) * bump(random.uniform(0.25, 0.8))
    hole = random.uniform(0, 14) * shown * put(np.exp(-0.5 * (from_end / random.uniform(0.1, 0.25)) ** 2)) * bump(random.uniform(0.1, 0.3))
    runs = put(there)
    lab[..., 0] += (deep * relief - hole) * runs
    # Thread: rounded, sinking at the holes, twisted; its colour may change along.
    sink = put(1 - shown * random.uniform(0.2, 1) * np.exp(-0.5 * (from_end / random.uniform(0.12, 0.45)) ** 2))
    half = np.maximum(put(0.5 * random.uniform(0.16, 0.62) * (1 + wander(random, along, 0.12, 1, 8))) * (0.65 + 0.35 * sink), 0.04)
    across = np.clip(u / half, -1, 1)
    cover = np.clip((half - np.abs(u)) * PER_MM + 0.5, 0, 1) * np.clip(sink, 0, 1) * runs
    changes = random.random() < 0.25
    steps = np.array([colour_step(random, contrast * random.uniform(0.4, 1.4)) for _ in range(int(random.integers(2, 5)) if changes else 1)])
    step = steps[np.searchsorted(first + np.cumsum(random.uniform(4, 40, 60)), along) % len(steps)]
    if changes:
        step = cv2.GaussianBlur(step[None], (0, 0), random.uniform(0.2, 3) * PER_MM)[0]
    colour = lab.mean((0, 1)) + put(step)
    twist, lean = random.uniform(0.2, 0.8), random.choice([-1.5, 1.5])
    colour[..., 0] += random.uniform(0, 12) * (np.sqrt(1 - across ** 2) - 0.6) + random.uniform(0, 10) * light * across + random.uniform(0, 6) * np.sin(2 * np.pi * (s + lean * u) / twist)
    if random.random() < 0.12:                                                      # metal
        colour[..., 0] += random.uniform(2, 14) * random.standard_normal(s.shape, np.float32)
    lab += cover[..., None] * (colour - lab)
    return lambda places: np.where(np.interp(places, along, there) > 0.5, np.interp(places, along, course), np.nan)


def draw(random, columns):
    """A strip's picture (blue, green, red bytes) with the courses of thread and marks in it, in the cells of the net."""
    shape = (strips.ROWS * FINE, columns * FINE)
    y, x = np.mgrid[0:shape[0], 0:shape[1]].astype(np.float32)
    x, y = (x + 0.5) / PER_MM, (y + 0.5) / PER_MM - strips.HALF_WIDTH_MM
    along = x[0].astype(np.float64)
    base = np.array([random.uniform(15, 93), random.normal(0, 16), random.normal(0, 16)])
    lab = np.empty(shape + (3,), np.float32)
    lab[:] = base
    if random.random() < 0.6:
        ink = random.uniform(1, 60) ** random.uniform(0.5, 1)
        lab += print_on(random, x, y + strips.HALF_WIDTH_MM)[..., None] * colour_step(random, ink).astype(np.float32)
        if random.random() < 0.35:
            lab += print_on(random, x, y + strips.HALF_WIDTH_MM)[..., None] * colour_step(random, 0.7 * ink).astype(np.float32)
    lab[..., 0] += weave(random, x, y)
    lab[..., 0] += random.uniform(0, 2.5) * smooth(random, shape, random.uniform(0.04, 0.15)) + random.uniform(0, 4) * smooth(random, shape, random.uniform(1.5, 6))
    if random.random() < 0.08:                                           # a seam: a step
        lab[..., 0] += random.uniform(2, 20) * np.tanh((y - random.uniform(-4, 4)) / random.uniform(0.1, 0.5))
    ruler = random.random() < 0.35
    middle = random.uniform(-2.6, 2.6)
    rms = random.uniform(0, 0.06) if ruler else random.uniform(0.05, 0.5)
    contrast, side = random.uniform(1, 9) if random.random() < 0.55 else random.uniform(9, 50), random.choice([-1, 1]) * random.uniform(0, 1)
    cells = (np.arange(columns // 2) + 0.5) * strips.CELL_MM
    # Marks under and over the thread: the line the quilter meant to follow, and others.
    marks, over = [], []
    for k in range(int(random.choice([0, 1, 1, 2, 3]))):
        own = mark_course(random, along, middle if k == 0 and random.random() < 0.75 else None)
        marks.append(np.interp(cells, along, own))
        ink = mark(random, x, y - own.astype(np.float32)[None], random.uniform(2, 14) if random.random() < 0.5 else random.uniform(10, 50))
        if random.random() < 0.75:
            lab += ink
        else:
            over.append(ink)
    for _ in range(int(random.choice([0, 0, 1, 1, 2]))):                 # marks that cross
        s, v = crossing(random, x, y)
        lab += mark(random, s, v, random.uniform(2, 40))
    thread = []
    if random.random() < 0.45:                                           # threads that cross
        for _ in range(int(random.integers(1, 3))):
            s, v = crossing(random, x, y)
            sew(random, lab, s, v, wandering(random, rms), side * random.uniform(-1, 1), contrast, ruler)
    if random.random() < 0.78:
        lean = random.normal(0, 0.012)
        bend = wandering(random, rms)
        thread.append(sew(random, lab, x, y, lambda a: middle + lean * (a - 16) + bend(a), side, contrast, ruler)(cells))
        if random.random() < 0.06:
            beside = middle + random.choice([-1, 1]) * random.uniform(1.2, 5)
            bend_too = wandering(random, rms)
            thread.append(sew(random, lab, x, y, lambda a: beside + lean * (a - 16) + bend_too(a), side, contrast, ruler)(cells))
    for ink in over:
        lab += ink
    light = np.clip(lab + random.uniform(0, 5) * np.float32([1, 0, 0]) * smooth(random, shape, 12)[..., None], (1, -90, -90), (99.5, 90, 90)).astype(np.float32)
    bgr = np.clip(cv2.cvtColor(light, cv2.COLOR_Lab2BGR), 0, 1) * 255
    bgr = cv2.GaussianBlur(bgr, (0, 0), FINE * random.uniform(0.25, 1.1))
    bgr = cv2.resize(bgr, (columns, strips.ROWS), interpolation=cv2.INTER_AREA)
    noise = random.uniform(0.2, 5) * random.standard_normal(bgr.shape)
    if random.random() < 0.5:
        noise = cv2.GaussianBlur(noise, (0, 0), random.uniform(0.4, 0.9))
    photo = np.clip(bgr + noise, 0, 255).astype(np.uint8)
    photo = cv2.imdecode(cv2.imencode(".jpg", photo, [cv2.IMWRITE_JPEG_QUALITY, int(random.integers(55, 97))])[1], cv2.IMREAD_COLOR)
    return photo, [np.float32(c) for c in thread], [np.float32(c) for c in marks]


def one(seed, columns=256):
    random = np.random.default_rng(seed)
    photo, thread, marks = draw(random, columns)
    return dict(x=strips.comparable(photo).astype(np.float16), thread=thread, marks=marks)


def many(count, first=0):
    """So many strips, each by its own seed."""
    with multiprocessing.Pool(initializer=cv2.setNumThreads, initargs=(1,)) as pool:
        yield from pool.imap(one, range(first, first + count), 32)
