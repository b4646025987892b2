"""Teaches the nets that say where in a cross section the thread's middle lies, and writes them as the file the analyzer reads.

    python3 middle.py thread-middle.onnx MINUTES [NETS]

Needs PyTorch and ONNX (Debian: python3-torch python3-onnx). Several nets, each taught so long by itself, are asked together: their mean is more use on photos than one that was taught longer.
"""
import math
import sys
import time

import torch

import sections

SIZE, BATCH, FASTEST = 64, 256, 2.5e-3


class MiddleNet(torch.nn.Sequential):
    """What it says of a section, in tenths of a millimetre, and three less than the logarithm of its uncertainty; to be asked about the section and about the section turned round."""

    def __init__(self):
        super().__init__(torch.nn.Flatten(), torch.nn.Linear(3 * sections.PLACES, SIZE), torch.nn.ReLU(), torch.nn.Linear(SIZE, SIZE), torch.nn.ReLU(), torch.nn.Linear(SIZE, 2))

    def aside(self, section):
        here, turned = self(section), self(section.flip(-1))
        return 0.1 * (here[:, 0] - turned[:, 0]), 0.5 * (here[:, 1] + turned[:, 1]) - 3


class Several(torch.nn.Module):
    def __init__(self, nets):
        super().__init__()
        self.nets = torch.nn.ModuleList(nets)

    def forward(self, section):
        return sum(net(section) for net in self.nets) / len(self.nets)


def teach(seed, minutes):
    torch.manual_seed(seed)
    generator = torch.Generator()
    generator.manual_seed(seed)
    net = MiddleNet()
    optimizer = torch.optim.Adam(net.parameters(), FASTEST)
    start, step, errors = time.time(), 0, []
    while time.time() - start < 60 * minutes:
        done = (time.time() - start) / (60 * minutes)
        for group in optimizer.param_groups:
            group["lr"] = FASTEST * (0.5 + 0.5 * math.cos(math.pi * done)) + 2e-5
        with torch.no_grad():
            section, aside = sections.batch(BATCH, generator)
        told, spread = net.aside(section[:, torch.randperm(3)] if step % 2 else section)
        loss = (0.5 * ((aside - told) / spread.exp()) ** 2 + spread).mean()
        optimizer.zero_grad()
        loss.backward()
        torch.nn.utils.clip_grad_norm_(net.parameters(), 1.0)
        optimizer.step()
        errors.append(float(((aside - told) ** 2).mean()))
        step += 1
        if step % 500 == 0:
            print(f"net {seed}: {step} steps, {time.time() - start:.0f} s, {math.sqrt(sum(errors[-500:]) / 500):.4f} mm", flush=True)
    return net


def main(out, minutes, nets):
    torch.set_num_threads(1)
    several = Several([teach(seed, minutes) for seed in range(1, nets + 1)]).eval()
    torch.onnx.export(several, torch.zeros(2, 3 * sections.PLACES), out, opset_version=11, input_names=["sections"], output_names=["said"])


if __name__ == "__main__":
    if len(sys.argv) < 3:
        sys.exit(__doc__)
    main(sys.argv[1], float(sys.argv[2]), int(sys.argv[3]) if len(sys.argv) > 3 else 3)
