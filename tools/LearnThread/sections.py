"""Cross sections of a sewn thread and the cloth beside it, worked out from the laws of light, and where in them the thread's middle lies.

A round thread (Lambert's cosine law, a share of even light, sometimes gloss) lies in a furrow of the cloth under light from any side: the furrow's flanks face the light or do not, the thread throws a shadow away from it and darkens
the cloth it touches. Colours, sizes, prints, marks and camera are drawn at random as wide as they come; nothing is taken from any photo. Lengths in mm, light is linear, 0 to 1.
"""
import math

import torch

FINE_MM, HALF_MM = 0.02, 2.6             # what is worked out
STEP_MM, PLACES = 0.05, 49               # what the net sees, as Analyzer.Vision.Learnt.MiddleNet
GROUND_PLACES = 6
FAR_MM = (0.9, 1.2)                      # where the ground is read
ANYWHERE = 0.4                           # share of sections whose origin lies anywhere, not where something stands out
MOST_ROUGH = 0.06                        # smooth errors of a section that no law here explains

X = torch.arange(-HALF_MM, HALF_MM + FINE_MM / 2, FINE_MM)
N = len(X)
FREQUENCY = torch.fft.rfftfreq(2 * N, FINE_MM)
XYZ = torch.tensor([[3.2406, -1.5372, -0.4986], [-0.9689, 1.8758, 0.0415], [0.0557, -0.2040, 1.0570]])   # IEC 61966-2-1
WHITE = torch.tensor([0.95047, 1.0, 1.08883])


class Draw:
    """Random numbers, one for every section of a batch, as a column."""

    def __init__(self, count, generator):
        self.count, self.generator = count, generator

    def between(self, low, high):
        return low + (high - low) * torch.rand((self.count, 1), generator=self.generator)

    def normal(self, *shape):
        return torch.randn((self.count,) + (shape or (1,)), generator=self.generator)

    def some(self, share):
        return (torch.rand((self.count, 1), generator=self.generator) < share).float()


def linear_rgb(lightness, a, b):
    """CIE Lab to linear RGB, section by section, with a third axis for the colours."""
    fy = (lightness + 16) / 116
    f = torch.stack([fy + a / 500, fy, fy - b / 200], -1)
    xyz = torch.where(f > 6 / 29, f ** 3, 3 * (6 / 29) ** 2 * (f - 4 / 29)) * WHITE
    return (xyz @ XYZ.T).clamp(0.006, 1).reshape(len(lightness), 3, 1)


def blurred(planes, sigma_mm):
    """Gaussian blur along the last axis, of its own width for every section; beyond the ends as at the ends."""
    half = N // 2
    longer = torch.cat([planes[..., :1].expand(*planes.shape[:-1], half), planes, planes[..., -1:].expand(*planes.shape[:-1], N - half)], -1)
    weights = torch.exp(-2 * (math.pi * FREQUENCY * sigma_mm) ** 2)[:, None]
    return torch.fft.irfft(torch.fft.rfft(longer) * weights, n=2 * N)[..., half:half + N]


def positive(values, soft):
    """What is below nothing is nothing, with a soft bend."""
    return 0.5 * (values + torch.sqrt(values * values + soft * soft))


def cloth_light(draw, light, ambient, radius, soft):
    """Light on the cloth across the line, in shares of that on flat cloth."""
    depth, width = draw.between(0, 0.6) * draw.some(0.8), draw.between(0.4, 3.2)
    from_line = torch.sqrt(X * X + draw.between(0.08, 0.4) ** 2)
    sharp = depth / width * torch.exp(-from_line / width) * X / from_line
    round_ = depth * X / width ** 2 * torch.exp(-X * X / (2 * width * width))
    slope = torch.where(draw.some(0.5) > 0, sharp, round_) + draw.between(-0.05, 0.05)
    lambert = positive((1 - slope * light) / torch.sqrt(1 + slope * slope), soft)
    side, away = torch.sign(light), -X * torch.sign(light)
    hollow = 1 - draw.between(0, 0.35) * draw.some(0.8) * torch.exp(-(X / draw.between(0.25, 0.8)) ** 2)
    reach, edge = (draw.between(0.4, 1.8) * radius * light.abs() * draw.between(0.2, 1.2)).clamp(max=0.8), draw.between(0.03, 0.2)
    thrown = torch.sigmoid((away - 0.2 * radius) / (0.4 * edge + 0.01)) * torch.sigmoid((radius + reach - away) / (0.5 * edge + 0.01)) * draw.between(0, 1) * draw.some(0.75)
    flank = draw.between(0, 0.3) * draw.some(0.35) * torch.exp(-((X.abs() - 0.45) / 0.5) ** 2) * (X * side > 0)
    touched = draw.between(0, 0.35) * draw.some(0.7) * torch.exp(-((X + 0.5 * radius * light.clamp(-1.2, 1.2) * draw.between(0, 1)) / (radius + draw.between(0.05, 0.2))) ** 2)
    return (ambient * hollow + (1 - ambient) * lambert * (1 - thrown) * (0.5 + 0.5 * hollow)) * (1 - flank) * (1 - touched)


def thread_light(draw, light, sideways, up, ambient, radius, soft):
    """Light on the thread across it, in the same shares, and what it mirrors."""
    u = (X / radius).clamp(-1, 1)
    rise = torch.sqrt(1 - draw.between(0.6, 0.99) * u * u)
    lean = u * draw.between(0.55, 1)
    length = torch.sqrt(lean * lean + rise * rise)
    lambert = positive((lean * light + rise) / length, soft).clamp(max=1.8)
    roundness = torch.where(draw.some(0.2) > 0, draw.between(0, 0.75), draw.between(0.75, 1))
    shade = (ambient + (1 - ambient) * (1 - roundness + roundness * lambert)) * (1 - draw.between(0, 0.5) * (1 - rise)) * draw.between(0.8, 1.2)
    halfway = ((lean * sideways + rise * (up + 1)) / length / torch.sqrt(2 + 2 * up)).clamp(0, 1)
    return shade, draw.between(0, 0.4) * draw.some(0.4) * halfway ** draw.between(5, 35)


def colours(draw):
    """Cloth and thread, from hardly different to black on white."""
    lightness, chroma, hue = draw.between(15, 92), draw.between(0, 40) * draw.some(0.85), draw.between(0, 2 * math.pi)
    a, b, kind = chroma * torch.cos(hue), chroma * torch.sin(hue), draw.between(0, 1)
    apart = torch.where(kind < 0.45, draw.between(3, 15), torch.where(kind < 0.75, draw.between(12, 40), draw.between(30, 75)))
    way = draw.normal(3) * torch.tensor([1.4, 0.7, 0.7])
    way = way / way.norm(dim=1, keepdim=True)
    thread = lightness + apart * way[:, :1]
    thread = torch.where((thread < 8) | (thread > 97), lightness - apart * way[:, :1], thread).clamp(8, 97)
    return linear_rgb(lightness, a, b), linear_rgb(thread, a + apart * way[:, 1:2], b + apart * way[:, 2:])


def lit(draw):
    """The section as it lies there, three colours."""
    radius, height, turn = draw.between(0.12, 0.3), torch.deg2rad(draw.between(12, 72)), draw.between(0, 2 * math.pi)
    sideways, up, ambient, soft = torch.cos(height) * torch.cos(turn), torch.sin(height), draw.between(0.22, 0.7), draw.between(0.03, 0.2)
    light = (sideways / up).clamp(-3, 3)
    ground = cloth_light(draw, light, ambient, radius, soft)
    cloth, thread = colours(draw)
    shade, mirrored = thread_light(draw, light, sideways, up, ambient, radius, soft)
    fringe = draw.between(0.004, 0.03) + draw.between(0, 0.06) * draw.some(0.3)
    # Where it dives into the cloth a thread is narrower.
    dives, narrower = draw.between(0, 0.5), draw.between(0.5, 0.95)
    cover = (1 - dives) * torch.sigmoid((radius - X.abs()) / (0.6 * fringe)) + dives * torch.sigmoid((radius * narrower - X.abs()) / (0.6 * fringe))
    cover = (cover * torch.where(draw.some(0.5) > 0, draw.between(0.9, 1), draw.between(0.6, 0.95)))[:, None]
    holes = 1 - draw.between(0, 0.25) * torch.exp(-(X / draw.between(0.1, 0.2)) ** 2)
    return cloth * (ground * holes)[:, None] * (1 - cover) + (thread * shade[:, None] + mirrored[:, None]) * cover


def with_prints_and_marks(draw, planes):
    """What the mean over a family's lines leaves of prints, of uneven light and of marks."""
    planes = planes * (1 + draw.between(-0.06, 0.06) * X + draw.between(-0.03, 0.03) * X * X)[:, None]
    for _ in range(3):
        print_ = draw.between(0, 0.05) * draw.some(0.5) * torch.exp(-((X - draw.between(-2, 2)) / draw.between(0.2, 1)) ** 2)
        planes = planes * (1 + print_[:, None] * draw.normal(3, 1))
    mark = (draw.between(0, 0.35) * draw.some(0.3) * torch.exp(-((X - 0.4 * draw.normal()) / draw.between(0.25, 0.9)) ** 2))[:, None]
    colour = linear_rgb(draw.between(20, 95), 60 * draw.normal().clamp(-1, 1), 60 * draw.normal().clamp(-1, 1))
    return planes * (1 - mark) + mark * colour


def as_photographed(draw, planes):
    """Blur, exposure, tone curve and sharpening of a phone; in linear light again, as the analyzer averages it."""
    pixel_mm = 1 / draw.between(5.2, 12)
    planes = blurred(planes.clamp(min=0), torch.sqrt((draw.between(0.4, 1.1) * pixel_mm) ** 2 + draw.between(0, 0.07) ** 2))
    exposure = draw.between(0.7, 1.5)[:, None]
    planes = torch.where(draw.some(0.3)[:, None] > 0, 1 - torch.exp(-1.2 * exposure * planes), (exposure * planes).clamp(max=1))
    coded = torch.where(planes < 0.0031308, 12.92 * planes, 1.055 * planes.clamp(min=1e-5) ** (1 / 2.4) - 0.055)
    coded = coded + draw.between(0, 0.4)[:, None] * (coded * coded * (3 - 2 * coded) - coded)
    coded = coded + (draw.between(0, 0.9) * draw.some(0.6))[:, None] * (coded - blurred(coded, draw.between(0.8, 2) * pixel_mm)).clamp(-0.08, 0.08)
    coded = coded.clamp(0.002, 1)
    planes = torch.where(coded < 0.04045, coded / 12.92, ((coded + 0.055) / 1.055) ** 2.4)
    rough = blurred(draw.normal(1, N), draw.between(0.06, 0.4)) + 0.5 * blurred(draw.normal(3, N), draw.between(0.06, 0.4))
    return (planes * (1 + draw.between(0, MOST_ROUGH)[:, None] * rough * math.sqrt(0.2 / FINE_MM))).clamp(0.0005, 1.2)


def where_it_stands_out(draw, planes):
    """Where a line would be traced in the section: at the top of what differs from the ground as the section's middle does; or anywhere near."""
    far = (X.abs() > FAR_MM[0]) & (X.abs() < FAR_MM[1])
    ground = planes[..., far].mean(-1, keepdim=True)
    relative = 2 * (planes - ground) / (planes + ground + 1e-4)
    alike = torch.full((draw.count, 1), 1.0)
    narrow = blurred(relative, 0.05 * alike) - blurred(relative, 0.45 * alike)
    way = narrow[:, :, N // 2]
    along = (narrow * (way / (way.norm(dim=1, keepdim=True) + 1e-6))[:, :, None]).sum(1)
    top = X[torch.where(X.abs() < 0.3, along, torch.tensor(-9.0)).argmax(1)][:, None] + 0.025 * draw.normal()
    return torch.where(draw.some(ANYWHERE) > 0, draw.between(-0.22, 0.22), top)


def relative_to_ground(section):
    """As Analyzer.Vision.Learnt.MiddleNet makes it."""
    ground = 0.5 * (section[..., :GROUND_PLACES].mean(-1, keepdim=True) + section[..., -GROUND_PLACES:].mean(-1, keepdim=True))
    return 2 * (section - ground) / (section + ground + 0.002)


def batch(count, generator):
    """So many sections (sections, red green blue, places) and how far the origin of each lies from its thread's middle, mm."""
    draw = Draw(count, generator)
    planes = as_photographed(draw, with_prints_and_marks(draw, lit(draw)))
    origin = where_it_stands_out(draw, planes)
    at = (origin + (torch.arange(PLACES) - PLACES // 2) * STEP_MM + HALF_MM) / FINE_MM
    below = at.floor().long().clamp(0, N - 2)
    part, below = (at - below)[:, None], below[:, None].expand(-1, 3, -1)
    section = torch.gather(planes, 2, below) * (1 - part) + torch.gather(planes, 2, below + 1) * part
    section = section * (1 + draw.normal(3, PLACES) * draw.between(0, 0.012)[:, None])
    return relative_to_ground(section), origin[:, 0]
