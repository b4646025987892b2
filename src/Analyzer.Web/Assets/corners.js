import { choiceForm, photoFromBlock, say, send, svg } from './shared.js';

const byId = (id) => document.getElementById(id);
const bench = byId('bench'), stage = byId('stage'), lens = byId('lens');
const id = bench.dataset.id, width = Number(bench.dataset.width), height = Number(bench.dataset.height);
const names = ['Top left', 'Top right', 'Bottom right', 'Bottom left'];
const found = JSON.parse(bench.dataset.corners);
let corners = found.map((p) => [...p]);
let grid = null, view = [-0.5, -0.5, width, height], undo = [], moved = bench.dataset.found !== 'high' && bench.dataset.found !== 'medium';

// The picture: pixel centres are whole numbers, so the photo reaches from -0.5 to its size minus a half.
stage.style.setProperty('--ratio', width / height);
const photo = { href: `/block/${id}/photo.jpg`, x: -0.5, y: -0.5, width, height, preserveAspectRatio: 'none' };
svg('image', photo, stage);
const gridLayer = svg('g', {}, stage), outline = svg('g', {}, stage), markLayer = svg('g', {}, stage);
const sideUnder = svg('polygon', { class: 'side-under' }, outline), side = svg('polygon', { class: 'side-line' }, outline);
svg('image', photo, lens);
const lensDrawing = svg('g', {}, lens);
const hairs = ['hair', 'hair', 'hair top', 'hair top'].map((name) => svg('line', { class: name }, lens));

const marks = names.map((name, i) => {
  const g = svg('g', { class: 'corner', tabindex: 0, role: 'button', 'aria-roledescription': 'movable corner' }, markLayer);
  svg('circle', { class: 'mark-ring under' }, g);
  svg('circle', { class: 'mark-ring' }, g);
  for (const kind of ['mark-cross', 'mark-cross top']) { svg('line', { class: kind, 'data-way': 'h' }, g); svg('line', { class: kind, 'data-way': 'v' }, g); }
  g.addEventListener('keydown', (event) => key(event, i));
  g.addEventListener('focus', () => showLens(i));
  g.addEventListener('blur', () => { lens.toggleAttribute('hidden', true); });
  return g;
});

/** Photo px per screen px as shown now. */
const perScreen = () => view[2] / (stage.clientWidth || 800);

function draw() {
  const shape = corners.map((p) => p.join(',')).join(' ');
  sideUnder.setAttribute('points', shape);
  side.setAttribute('points', shape);
  const r = 15 * perScreen(), inner = 5 * perScreen();
  marks.forEach((g, i) => {
    const [x, y] = corners[i];
    g.setAttribute('transform', `translate(${x} ${y})`);
    g.setAttribute('aria-label', `${names[i]} corner, ${x.toFixed(1)} across, ${y.toFixed(1)} down. Arrow keys move it.`);
    g.querySelectorAll('circle').forEach((c) => c.setAttribute('r', r));
    g.querySelectorAll('line').forEach((l) => {
      const h = l.dataset.way === 'h';
      for (const [key, value] of Object.entries({ x1: h ? -inner : 0, x2: h ? inner : 0, y1: h ? 0 : -inner, y2: h ? 0 : inner })) l.setAttribute(key, value);
    });
  });
  drawGrid();
  document.querySelectorAll('.place').forEach((field) => { if (field !== document.activeElement) field.value = corners[field.dataset.corner][field.dataset.axis].toFixed(1); });
  byId('undo').disabled = undo.length === 0;
}

let lines = [];
function makeGrid() {
  gridLayer.replaceChildren();
  lensDrawing.replaceChildren();
  lines = (grid?.lines ?? []).map((line) => ({
    line,
    drawn: [[gridLayer, 'grid-under'], [gridLayer, `grid-line f${line.family % 6}`], [lensDrawing, `grid-line f${line.family % 6}`]].map(([parent, name]) => svg('line', { class: name }, parent)),
  }));
  svg('polygon', { class: 'side-line', id: 'lens-side' }, lensDrawing);
  draw();
}

function drawGrid() {
  const map = grid ? photoFromBlock(corners, grid.widthMm, grid.heightMm) : null;
  gridLayer.style.display = map ? '' : 'none';
  byId('lens-side')?.setAttribute('points', corners.map((p) => p.join(',')).join(' '));
  if (!map) return;
  for (const { line, drawn } of lines) {
    const [x1, y1] = map(line.from), [x2, y2] = map(line.to);
    for (const element of drawn) {
      element.setAttribute('x1', x1); element.setAttribute('y1', y1);
      element.setAttribute('x2', x2); element.setAttribute('y2', y2);
    }
  }
}

/** The magnifier: at least four times as large as the photo is shown, beside the corner and never over it. */
function showLens(i) {
  lens.toggleAttribute('hidden', false);
  const [x, y] = corners[i], box = lens.clientWidth || 180, scale = Math.max(4 / perScreen(), 2), half = box / scale / 2;
  lens.setAttribute('viewBox', `${x - half} ${y - half} ${2 * half} ${2 * half}`);
  hairs.forEach((line, k) => {
    const h = k % 2 === 0;
    for (const [key, value] of Object.entries({ x1: h ? x - half : x, x2: h ? x + half : x, y1: h ? y : y - half, y2: h ? y : y + half })) line.setAttribute(key, value);
  });
  const sx = (x - view[0]) / perScreen(), sy = (y - view[1]) / perScreen(), w = stage.clientWidth, h = stage.clientHeight;
  const left = sx + 40 + box < w ? sx + 40 : sx - 40 - box > 0 ? sx - 40 - box : sx < w / 2 ? w - box - 8 : 8;
  const top = Math.min(Math.max(8, sy - box / 2), Math.max(8, h - box - 8));
  const shift = stage.getBoundingClientRect().left - stage.parentElement.getBoundingClientRect().left;
  lens.style.transform = `translate(${Math.max(0, left) + shift}px, ${top}px)`;
}

function place(i, x, y) {
  corners[i] = [Math.min(Math.max(x, -0.5), width - 0.5), Math.min(Math.max(y, -0.5), height - 0.5)];
  moved = true;
  draw();
}

// When the last key moved a corner; never, after any other change.
let lastKey = -Infinity;
const remember = () => { lastKey = -Infinity; undo.push({ corners: corners.map((p) => [...p]), moved }); if (undo.length > 200) undo.shift(); };

function takeBack() {
  lastKey = -Infinity;
  const last = undo.pop();
  if (!last) return;
  ({ corners, moved } = last);
  draw();
  const at = marks.indexOf(document.activeElement);
  if (at >= 0) showLens(at);
  byId('said').textContent = 'The last move was taken back.';
}

function key(event, i) {
  const step = event.shiftKey ? 0.1 : 1;
  const way = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[event.key];
  if (!way || event.ctrlKey || event.metaKey || event.altKey) return;
  event.preventDefault();
  // A run of presses is one step for undo.
  if (event.timeStamp - lastKey > 800) remember();
  lastKey = event.timeStamp;
  place(i, corners[i][0] + way[0] * step, corners[i][1] + way[1] * step);
  showLens(i);
  byId('said').textContent = `${names[i]}: ${corners[i][0].toFixed(1)}, ${corners[i][1].toFixed(1)}`;
}
document.addEventListener('keydown', (event) => {
  if ((event.ctrlKey || event.metaKey) && event.key.toLowerCase() === 'z' && !event.shiftKey && event.target.tagName !== 'INPUT') { event.preventDefault(); takeBack(); }
});
byId('undo').addEventListener('click', takeBack);

// Pointers: a mark is dragged, the ground moves the view, two fingers zoom.
const pointers = new Map();
let held = null, pending = 0, latest = null;
const at = (event) => {
  const box = stage.getBoundingClientRect();
  return [view[0] + (event.clientX - box.left) * view[2] / box.width, view[1] + (event.clientY - box.top) * view[3] / box.height];
};

stage.addEventListener('pointerdown', (event) => {
  if (event.button !== 0) return;
  pointers.set(event.pointerId, [event.clientX, event.clientY]);
  stage.setPointerCapture(event.pointerId);
  const [x, y] = at(event), reach = (event.pointerType === 'mouse' ? 22 : 34) * perScreen();
  let best = -1, bestGap = reach;
  corners.forEach((p, i) => { const gap = Math.hypot(p[0] - x, p[1] - y); if (gap < bestGap) { best = i; bestGap = gap; } });
  if (best >= 0 && pointers.size === 1) {
    remember();
    held = { i: best, dx: corners[best][0] - x, dy: corners[best][1] - y };
    marks[best].classList.add('held');
    marks[best].focus({ preventScroll: true });
    showLens(best);
  }
  event.preventDefault();
});
stage.addEventListener('pointermove', (event) => {
  if (!pointers.has(event.pointerId)) return;
  const before = pointers.get(event.pointerId);
  if (held) {
    latest = at(event);
    if (!pending) pending = requestAnimationFrame(() => {
      pending = 0;
      if (!held) return;
      const begun = performance.now();
      place(held.i, latest[0] + held.dx, latest[1] + held.dy);
      showLens(held.i);
      // For the browser's own timeline; forgotten with the page.
      performance.measure('redraw', { start: begun });
    });
  } else if (pointers.size === 1) {
    setView(view[0] - (event.clientX - before[0]) * perScreen(), view[1] - (event.clientY - before[1]) * perScreen(), view[2]);
  } else if (pointers.size === 2) {
    const other = [...pointers.entries()].find(([key]) => key !== event.pointerId)[1];
    const was = Math.hypot(before[0] - other[0], before[1] - other[1]), is = Math.hypot(event.clientX - other[0], event.clientY - other[1]);
    const middle = at({ clientX: (event.clientX + other[0]) / 2, clientY: (event.clientY + other[1]) / 2 });
    if (was > 10 && is > 10) zoom(was / is, middle);
  }
  pointers.set(event.pointerId, [event.clientX, event.clientY]);
});
for (const kind of ['pointerup', 'pointercancel']) stage.addEventListener(kind, (event) => {
  pointers.delete(event.pointerId);
  if (held) marks[held.i].classList.remove('held');
  held = null;
});

function setView(x, y, w) {
  w = Math.min(Math.max(w, 60), width);
  const h = w * height / width;
  view = [Math.min(Math.max(x, -0.5), width - 0.5 - w), Math.min(Math.max(y, -0.5), height - 0.5 - h), w, h];
  stage.setAttribute('viewBox', view.join(' '));
  draw();
}
function zoom(factor, [x, y]) {
  const w = Math.min(Math.max(view[2] * factor, 60), width), k = w / view[2];
  setView(x - (x - view[0]) * k, y - (y - view[1]) * k, w);
}
const middle = () => { const i = marks.indexOf(document.activeElement); return i >= 0 ? corners[i] : [view[0] + view[2] / 2, view[1] + view[3] / 2]; };
stage.addEventListener('wheel', (event) => { event.preventDefault(); zoom(Math.exp(Math.sign(event.deltaY) * 0.18), at(event)); }, { passive: false });
byId('closer').addEventListener('click', () => zoom(1 / 1.6, middle()));
byId('wider').addEventListener('click', () => zoom(1.6, middle()));
byId('whole').addEventListener('click', () => setView(-0.5, -0.5, width));
new ResizeObserver(() => draw()).observe(stage);

document.querySelectorAll('.place').forEach((field) => field.addEventListener('change', () => {
  const value = Number(field.value.replace(',', '.')), i = Number(field.dataset.corner);
  if (!Number.isFinite(value)) { draw(); return; }
  remember();
  const p = [...corners[i]];
  p[field.dataset.axis] = value;
  place(i, p[0], p[1]);
}));

const choice = choiceForm((value) => { grid = value; byId('measure').disabled = !value; byId('find').disabled = !value; makeGrid(); });

byId('snap').addEventListener('click', async (event) => {
  const button = event.currentTarget;
  button.disabled = true;
  byId('snap-words').textContent = 'Looking for the seam …';
  try {
    const answer = await send(`/api/blocks/${id}/snap`, { size: choice.size, grid: choice.grid, corners });
    if (answer.seen) { remember(); corners = answer.corners; moved = true; draw(); }
    byId('snap-words').textContent = answer.words;
  } catch (error) { byId('snap-words').textContent = error.message; }
  button.disabled = false;
});
byId('turn').addEventListener('click', () => {
  remember();
  corners = [corners[3], corners[0], corners[1], corners[2]];
  moved = true;
  draw();
  byId('said').textContent = 'The block is taken as turned by a quarter.';
});

async function go(what, body) {
  say(byId('trouble'), '');
  try {
    await send(`/api/blocks/${id}/${what}`, body);
    location.assign(`/block/${id}`);
  } catch (error) { say(byId('trouble'), error.message); }
}
byId('measure').addEventListener('click', () => go('measure', {
  size: choice.size, grid: choice.grid, exact: byId('exact').checked,
  // Found corners that nobody touched are found again with their full uncertainty.
  corners: moved || byId('exact').checked ? corners : null,
}));
byId('find').addEventListener('click', () => go('find', { size: choice.size, grid: choice.grid }));
byId('remove').addEventListener('click', async () => {
  try { await send(`/api/blocks/${id}/remove`); location.assign('/'); } catch (error) { say(byId('trouble'), error.message); }
});

setView(-0.5, -0.5, width);
