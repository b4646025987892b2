"""Writes a taught net as the file the analyzer reads: python3 export.py NET.pt thread-sight.onnx"""
import sys

import torch

from net import ThreadNet


def main(taught, out):
    net = ThreadNet()
    net.load_state_dict(torch.load(taught))
    net.eval()
    torch.onnx.export(net, torch.zeros(1, 3, 48, 384), out, opset_version=11, input_names=["strip"], output_names=["sight"],
                      dynamic_axes={"strip": {3: "along"}, "sight": {3: "cells"}}, do_constant_folding=True)


if __name__ == "__main__":
    if len(sys.argv) != 3:
        sys.exit(__doc__)
    main(*sys.argv[1:])
