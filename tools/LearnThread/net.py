"""The net: nine small residual blocks that look along the line at growing distances. Two planes of log odds come out, thread and mark; the analyzer uses the first."""
import torch
from torch import nn


class Block(nn.Module):
    def __init__(self, channels, apart):
        super().__init__()
        self.look = nn.Conv2d(channels, channels, 3, 1, (1, apart), (1, apart), bias=False)
        self.look_norm = nn.BatchNorm2d(channels)
        self.mix = nn.Conv2d(channels, channels, 1, bias=False)
        self.mix_norm = nn.BatchNorm2d(channels)

    def forward(self, x):
        return torch.relu(x + self.mix_norm(self.mix(torch.relu(self.look_norm(self.look(x))))))


class ThreadNet(nn.Module):
    def __init__(self, channels=20, apart=(1, 2, 4, 8, 16, 8, 4, 2, 1)):
        super().__init__()
        self.stem = nn.Sequential(nn.Conv2d(3, channels, 6, 2, 2, bias=False), nn.BatchNorm2d(channels), nn.ReLU())
        self.body = nn.Sequential(*[Block(channels, a) for a in apart])
        self.head = nn.Conv2d(channels, 2, 1)

    def forward(self, x):
        return self.head(self.body(self.stem(x)))
