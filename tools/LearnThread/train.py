"""Teaches the net where thread runs in strips of invented photos.

    python3 train.py OUT.pt MINUTES STRIPS FOLDER [FOLDER ...]      goes on from OUT.pt where it exists

STRIPS is how many strips are drawn straight away (`drawn.py`), beside those of the photos in the folders.

Needs PyTorch, OpenCV and NumPy (Debian: python3-torch python3-opencv). The result depends on the machine's speed: what counts is how it does on photos it has not seen.
"""
import os
import sys
import time

import cv2
import numpy as np
import torch
from torch.nn.functional import binary_cross_entropy_with_logits

import drawn
import strips
from net import ThreadNet

WIDTH, BATCH = 256, 18     # columns of a sample, samples of a step
CELLS = WIDTH // 2
ACROSS_MM = (np.arange(strips.ROWS // 2) + 0.5) * strips.CELL_MM - strips.HALF_WIDTH_MM
DRAWN = 0.35               # share of the samples that are drawn straight away
FASTEST = 2.5e-3           # step size at its largest
NEAR_MM = 0.22             # how near to the thread's middle a cell counts as thread, a Gaussian's scale


def wanted(courses, first):
    """1 on the courses, less beside them, 0 elsewhere."""
    result = np.zeros((len(ACROSS_MM), CELLS), np.float32)
    for course in courses:
        part = course[first:first + CELLS]
        part = np.pad(part, (0, CELLS - len(part)), constant_values=np.nan)
        near = np.exp(-0.5 * ((ACROSS_MM[:, None] - part[None]) / NEAR_MM) ** 2)
        near[:, ~np.isfinite(part)] = 0
        result = np.maximum(result, near)
    return result


def with_ruled_lines(x, random):
    """Straight smooth lines that are no thread laid over a sample: pen, chalk, the edge of a stripe."""
    x = x.copy()
    rows, columns = x.shape[1:]
    across = (np.arange(rows) + 0.5) / strips.PIXELS_PER_MM - strips.HALF_WIDTH_MM
    along = (np.arange(columns) + 0.5) / strips.PIXELS_PER_MM
    for _ in range(random.integers(1, 4)):
        from_middle = across[:, None] - (random.uniform(-3.8, 3.8) + random.normal(0, 0.02) * (along - along.mean()))[None]
        wide = random.uniform(0.12, 0.5)
        shape = np.exp(-0.5 * (from_middle / wide) ** 2) if random.random() < 0.75 else 0.5 * np.tanh(from_middle / wide)
        if random.random() < 0.5:
            shape = shape * (1 + 0.8 * cv2.GaussianBlur(random.normal(0, 1, (rows, columns)), (0, 0), random.uniform(0.7, 2.5)))
        colour = random.normal(0, 1, 3)
        x += (colour / np.linalg.norm(colour) * random.uniform(0.5, 4.5))[:, None, None] * shape[None]
    return x


def sample(strip, random):
    """A piece of one strip, mirrored, recoloured, made fainter, noisier or softer at random; what is wanted of it; and which of its columns count."""
    x = strip["x"]
    first = int(random.integers(0, max(1, x.shape[2] // 2 - CELLS + 1)))
    x = x[:, :, 2 * first:2 * first + WIDTH].astype(np.float32)
    y = np.stack([wanted(strip["thread"], first), wanted(strip["marks"], first)])
    counts = np.ones(CELLS, np.float32)
    if x.shape[2] < WIDTH:
        counts[x.shape[2] // 2:] = 0
        x = np.pad(x, ((0, 0), (0, 0), (0, WIDTH - x.shape[2])))
    if random.random() < 0.5:
        x, y, counts = x[:, :, ::-1], y[:, :, ::-1], counts[::-1]
    if random.random() < 0.5:
        x, y = x[:, ::-1], y[:, ::-1]
    x = x.copy()
    hue = random.uniform(0, 2 * np.pi)
    a, b = x[1].copy(), x[2].copy()
    x[1], x[2] = np.cos(hue) * a - np.sin(hue) * b, np.sin(hue) * a + np.cos(hue) * b
    if random.random() < 0.35:
        x = with_ruled_lines(x, random)
    x *= random.uniform(0.6, 1.5, (3, 1, 1)).astype(np.float32)
    if random.random() < 0.15:
        x[1:] *= 0
    if random.random() < 0.3:
        x += random.normal(0, random.uniform(0.1, 0.6), x.shape)
    if random.random() < 0.25:
        soft = random.uniform(0.4, 0.9)
        x = np.stack([cv2.GaussianBlur(np.ascontiguousarray(plane), (0, 0), soft) for plane in x])
    return x, y, counts


def main(out, minutes, count, folders):
    torch.set_num_threads(os.cpu_count() or 1)
    torch.manual_seed(1)
    random = np.random.default_rng(1)
    drawn_ones, taught = list(drawn.many(count)), []
    for folder in folders:
        for strip in strips.of_folder(folder, random):
            taught.append(dict(x=strips.comparable(strip["strip"]).astype(np.float16), thread=strip["thread"], marks=strip["marks"]))
        print(len(taught), "strips up to", folder, flush=True)
    net = ThreadNet()
    if os.path.exists(out):
        net.load_state_dict(torch.load(out))
    optimizer = torch.optim.AdamW(net.parameters(), 2e-3, weight_decay=1e-4)
    start, step, losses = time.time(), 0, []
    while time.time() - start < 60 * minutes:
        done = (time.time() - start) / (60 * minutes)
        for group in optimizer.param_groups:
            group["lr"] = FASTEST * min(1, (step + 1) / 100) * (0.5 + 0.5 * np.cos(np.pi * done)) + 2e-5
        chosen = (drawn_ones if drawn_ones and random.random() < DRAWN else taught for _ in range(BATCH))
        x, y, counts = zip(*(sample(own[random.integers(len(own))], random) for own in chosen))
        x, y = torch.tensor(np.stack(x).astype(np.float32)), torch.tensor(np.stack(y))
        counts = torch.tensor(np.stack(counts))[:, None, None]
        loss = binary_cross_entropy_with_logits(net(x), y, reduction="none")
        loss = (loss[:, 0:1] * counts).mean() + 0.3 * (loss[:, 1:2] * counts).mean()
        optimizer.zero_grad()
        loss.backward()
        optimizer.step()
        losses.append(float(loss))
        step += 1
        if step % 100 == 0:
            print(step, "steps", round(time.time() - start), "s, loss", round(float(np.mean(losses[-100:])), 4), flush=True)
    torch.save(net.state_dict(), out)


if __name__ == "__main__":
    if len(sys.argv) < 5:
        sys.exit(__doc__)
    main(sys.argv[1], float(sys.argv[2]), int(sys.argv[3]), sys.argv[4:])
