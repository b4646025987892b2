import { choiceForm, get, hand, number, say, svg } from './shared.js';

const byId = (id) => document.getElementById(id);
const trouble = byId('plan-trouble'), picture = byId('plan-picture'), range = byId('spacing-range');
const settings = [...document.querySelectorAll('.setting')];
let choice = null, fit = 0, plan = null, asking = false, again = false, lastGrid = '';

choice = choiceForm((now) => {
  // Another grid has other spacings that fit.
  const key = now.size + now.grid;
  if (key !== lastGrid) { fit = 0; lastGrid = key; }
  ask();
}, { quiet: true });

function query() {
  const values = {
    size: choice.size, grid: choice.grid, units: choice.unit === 'in' ? 'in' : 'mm', order: byId('order').value, start: byId('start').value,
    middle: byId('middle').value, paper: byId('paper').value,
  };
  if (fit > 0) values.fit = fit;
  for (const box of ['across', 'marks']) if (byId(box).checked) values[box] = 1;
  for (const slide of settings) if (slide.value !== slide.defaultValue) values[slide.id] = slide.value;
  return new URLSearchParams(values).toString();
}

/** One question at a time; while sliders move, only the newest state is asked for. */
async function ask() {
  if (!choice) return;
  if (asking) { again = true; return; }
  asking = true;
  const mm = choice.spacingMm;
  byId('spacing-slide').hidden = choice.pattern === 'lines' || choice.pattern === 'plan';
  if (mm && document.activeElement !== range) {
    range.min = choice.unit === 'in' ? 6.35 : 5;
    range.step = choice.unit === 'in' ? 1.5875 : 0.5;
    range.max = choice.unit === 'in' ? 63.5 : 60;
    range.value = mm;
  }
  range.setAttribute('aria-valuetext', byId('spacing').value + ' ' + choice.unit);
  try {
    const asked = query();
    plan = await get('/api/plan?' + asked);
    say(trouble, '');
    show(asked);
  } catch (error) { say(trouble, error.message); }
  asking = false;
  if (again) { again = false; ask(); }
}

range.addEventListener('input', () => choice.setSpacing(Number(range.value)));
for (const id of ['order', 'start', 'middle', 'paper', 'across', 'marks']) byId(id).addEventListener('change', ask);
for (const slide of settings) slide.addEventListener('input', () => {
  slide.parentElement.querySelector('output').textContent = `${slide.value} ${slide.dataset.unit}`;
  ask();
});

// The picture: the whole grid faint, the path over it in each family's own dashes, the needle at its head.
const dashes = [[], [5, 3], [1.4, 2.6], [8, 2.5, 1.4, 2.5], [3, 2], [1, 1.5]];
let steps = [], at = 0, share = 0, playing = false, before = 0, unit = 1, needle = null, quiet = false;

function show(asked) {
  byId('plan-title').textContent = plan.title;
  byId('plan-words').textContent = plan.gridWords;
  byId('assumed').textContent = plan.assumed;
  unit = Math.max(plan.widthMm, plan.heightMm) / 300;
  const pad = 12 * unit;
  picture.replaceChildren();
  picture.setAttribute('viewBox', `${-pad} ${-pad} ${plan.widthMm + 2 * pad} ${plan.heightMm + 2 * pad}`);
  svg('rect', { width: plan.widthMm, height: plan.heightMm, fill: '#fffdf8', stroke: '#bdb5a3', 'stroke-width': 0.8 * unit }, picture);
  const faint = svg('g', { stroke: '#d9d2c2', 'stroke-width': 0.6 * unit }, picture);
  for (const line of plan.lines) svg('line', { x1: line.from[0], y1: line.from[1], x2: line.to[0], y2: line.to[1] }, faint);
  const defs = svg('defs', {}, picture), sewn = svg('g', { fill: 'none' }, picture);
  steps = plan.steps.map((step, i) => {
    const d = 'M' + outside(step).map((p) => p.join(' ')).join('L'), kind = step.kind;
    const dash = kind === 'line' ? dashes[step.family % 6] : kind === 'ditch-again' ? [1, 1.6] : [];
    const path = svg('path', { d, class: kind === 'line' ? `path f${step.family % 6}` : `path ${kind}`, 'stroke-width': (kind === 'line' ? 1.5 : 2) * unit, 'stroke-dasharray': dash.map((v) => v * unit).join(' '), mask: `url(#m${i})` }, sewn);
    if (kind === 'cut') path.style.visibility = 'hidden';
    const total = Math.max(path.getTotalLength(), 1e-6);
    // A mask that grows, so that the family's own dashes stay.
    const mask = svg('mask', { id: `m${i}`, maskUnits: 'userSpaceOnUse', x: -1e4, y: -1e4, width: 3e4, height: 3e4 }, defs);
    const cover = svg('path', { d, fill: 'none', stroke: '#fff', 'stroke-width': 6 * unit, 'stroke-dasharray': `${total} ${total}` }, mask);
    return { ...step, path, cover, total };
  });
  needle = svg('path', { d: `M0 0 L${-8 * unit} ${3.2 * unit} L${-6 * unit} 0 L${-8 * unit} ${-3.2 * unit} Z`, fill: '#111', stroke: '#fff', 'stroke-width': 0.7 * unit }, picture);
  legend();
  lists();
  document.querySelectorAll('.plan-file').forEach((link) => { link.href = `/plan/file/${link.dataset.name}?${asked}`; });
  byId('corner-rule').href = `/corner-rule.pdf?paper=${byId('paper').value}`;
  quiet = !playing;
  if (playing) { at = Math.min(at, steps.length - 1); share = 0; } else { at = steps.length; share = 0; }
  paint();
}

/** A second pass over the ditch is drawn a little outside, so that both passes can be seen. */
function outside(step) {
  if (step.kind !== 'ditch-again') return step.points;
  const off = 4.5 * unit, w = plan.widthMm, h = plan.heightMm, out = [step.points[0]];
  const X = (x) => (x < 1e-6 ? -off : x > w - 1e-6 ? w + off : x), Y = (y) => (y < 1e-6 ? -off : y > h - 1e-6 ? h + off : y);
  step.points.forEach((p, i) => {
    const q = step.points[i === 0 ? 1 : i - 1], upright = Math.abs(p[0] - q[0]) < 1e-6, end = i === 0 || i === step.points.length - 1;
    out.push(end ? (upright ? [X(p[0]), p[1]] : [p[0], Y(p[1])]) : [X(p[0]), Y(p[1])]);
  });
  out.push(step.points[step.points.length - 1]);
  return out;
}

function legend() {
  const rows = plan.families.map((f, i) => [`f${i % 6}`, dashes[i % 6], `${f.letter}: ${f.count} ${f.words}`]);
  if (plan.steps.some((s) => s.kind === 'ditch')) rows.push(['ditch', [], 'ditch']);
  if (plan.steps.some((s) => s.kind === 'ditch-again')) rows.push(['ditch-again', [1, 1.6], 'over ditch already stitched']);
  byId('plan-legend').replaceChildren(...rows.map(([name, dash, words]) => {
    const item = document.createElement('li'), swatch = svg('svg', { width: 44, height: 10, 'aria-hidden': true }, item);
    svg('line', { x1: 0, y1: 5, x2: 44, y2: 5, class: `path ${name}`, 'stroke-width': 3, 'stroke-dasharray': dash.map((v) => 2.4 * v).join(' ') }, swatch);
    item.append(words);
    return item;
  }));
}

const cell = (row, text, name = 'td', css = '') => { const c = document.createElement(name); c.textContent = text; if (css) c.className = css; row.append(c); return c; };

function lists() {
  byId('plan-key').replaceChildren(...plan.key.flatMap(([name, text]) => { const dt = document.createElement('dt'), dd = document.createElement('dd'); dt.textContent = name; dd.textContent = text; return [dt, dd]; }));
  byId('plan-routes').replaceChildren(...plan.routes.map((r) => {
    const row = document.createElement('tr');
    if (r.chosen) row.className = 'chosen-row';
    cell(row, r.words + (r.chosen ? ' (this plan)' : ''));
    cell(row, r.start).dataset.label = 'Begin';
    for (const [label, value] of [['Cuts', r.cuts], ['Turns', r.turns], ['Ditch again', r.again]]) cell(row, value, 'td', 'num').dataset.label = label;
    return row;
  }));
  byId('plan-steps').replaceChildren(...plan.steps.map((step, i) => {
    const item = document.createElement('li'), button = document.createElement('button');
    button.type = 'button';
    button.textContent = step.text;
    button.addEventListener('click', () => go(i + 1));
    item.append(button);
    return item;
  }));
  const box = byId('fit');
  box.hidden = !plan.fit;
  if (!plan.fit) return;
  byId('fit-words').textContent = plan.fit.closes && fit === 0 ? 'This grid closes: the lines meet on every side of the block.'
    : fit > 0 ? 'Fitted: the lines meet on every side of the block.'
      : plan.fit.offers.length > 0 ? 'The lines do not meet on every side of this block. These near it do:' : 'The lines do not meet on every side of this block, and no spacing near it does.';
  const offers = plan.fit.closes && fit === 0 ? [] : plan.fit.offers.map((words, i) => [words, i + 1]);
  if (offers.length > 0) offers.unshift(['as wished', 0]);
  byId('fit-offers').replaceChildren(...offers.map(([words, n]) => {
    const button = document.createElement('button');
    button.type = 'button';
    button.textContent = words;
    button.setAttribute('aria-pressed', String(n === fit));
    button.addEventListener('click', () => { fit = n; ask(); });
    return button;
  }));
}

function paint() {
  steps.forEach((step, i) => {
    const part = i < at ? 1 : i === at ? share : 0;
    step.path.style.display = part > 0 ? '' : 'none';
    step.cover.setAttribute('stroke-dashoffset', step.total * (1 - part));
  });
  const done = at >= steps.length, step = steps[Math.min(at, steps.length - 1)], along = done ? step.total : step.total * share;
  const p = step.path.getPointAtLength(along), q = step.path.getPointAtLength(Math.max(along - 0.5 * unit, 0)), r = step.path.getPointAtLength(Math.min(along + 0.5 * unit, step.total));
  needle.setAttribute('transform', `translate(${p.x} ${p.y}) rotate(${Math.atan2(r.y - q.y, r.x - q.x) * 180 / Math.PI})`);
  const words = done ? (quiet ? `The whole path: ${steps.length} steps, begun at the ${plan.start} corner. Press Play to see it sewn.` : 'Done. Lock the thread.') : `Step ${at + 1} of ${steps.length}: ${step.text}`;
  if (byId('plan-now').textContent !== words) byId('plan-now').textContent = words;
  byId('play').textContent = playing ? 'Pause' : 'Play';
  byId('back').disabled = at === 0 && share === 0;
  byId('on').disabled = done;
  [...byId('plan-steps').children].forEach((item, i) => item.classList.toggle('now-step', !done && i === at));
}

function tick(time) {
  if (!playing) return;
  let way = (before ? Math.min(time - before, 100) : 16) / 1000 * 130 * unit * 2 ** Number(byId('speed').value);
  before = time;
  while (way > 0 && at < steps.length) {
    const length = steps[at].kind === 'cut' ? 60 * unit : steps[at].total, left = length * (1 - share);
    if (way < left) { share += way / length; way = 0; } else { way -= left; at++; share = 0; }
  }
  if (at >= steps.length) playing = false;
  paint();
  if (playing) requestAnimationFrame(tick);
}

function play(on) {
  const anew = on && at >= steps.length;
  if (anew) { at = 0; share = 0; }
  quiet = false;
  playing = on;
  before = 0;
  paint();
  if (!on) return;
  // Without motion wanted, a step at a time instead of a moving needle.
  if (matchMedia('(prefers-reduced-motion: reduce)').matches) { playing = false; go(anew ? 0 : at + 1); } else requestAnimationFrame(tick);
}

function go(step) {
  playing = quiet = false;
  at = Math.max(0, Math.min(steps.length, step));
  share = 0;
  paint();
}

byId('play').addEventListener('click', () => play(!playing));
byId('back').addEventListener('click', () => go(share > 0 ? at : at - 1));
byId('on').addEventListener('click', () => go(at + 1));
byId('whole-path').addEventListener('click', () => { go(steps.length); quiet = true; paint(); });

async function keep(path, file) {
  try {
    const { id } = await hand(path, file, () => {}).promise;
    location.assign(`/?plan=${id}`);
  } catch (error) { say(trouble, error.message); trouble.scrollIntoView({ block: 'center' }); }
}
byId('measure-against').addEventListener('click', () => keep('/api/plans?' + query(), null));
byId('plan-open').addEventListener('change', (event) => { const file = event.target.files[0]; if (file) keep('/api/plans', file); });

byId('bar-ask').addEventListener('click', async () => {
  const text = byId('bar-measured').value.trim().replace(',', '.');
  try {
    byId('bar-words').textContent = (await get('/api/print-scale?measured=' + encodeURIComponent(number(text) === null ? text : text + ' mm'))).words;
  } catch (error) { byId('bar-words').textContent = error.message; }
});

// Which spacing suits me?
const from = byId('outlook-from'), twoNumbers = () => document.querySelectorAll('.two-numbers').forEach((label) => { label.hidden = from.value !== ''; });
from.addEventListener('change', twoNumbers);
twoNumbers();
byId('outlook-ask').addEventListener('click', async (event) => {
  const button = event.currentTarget, clean = (id) => byId(id).value.trim().replace(',', '.');
  button.disabled = true;
  try {
    const ask = new URLSearchParams({ size: choice.size, grid: choice.grid, units: choice.unit === 'in' ? 'in' : 'mm', distance: clean('outlook-distance') + 'cm', ...(from.value ? { report: from.value } : { wobble: clean('outlook-wobble') + 'mm', crossing: clean('outlook-crossing') + 'mm' }) });
    const answer = await get('/api/outlook?' + ask);
    say(byId('outlook-trouble'), '');
    byId('outlook-words').textContent = `Lines laid within ${answer.placementMm.toFixed(2)} mm and wobbling by ${answer.wobbleMm.toFixed(2)} mm, seen from ${(answer.distanceMm / 10).toFixed(0)} cm, where a miss of ${answer.closedMm.toFixed(2)} mm begins to show. Fair: closed, or missed by less than a fortieth of the spacing.`;
    byId('outlook-box').hidden = false;
    byId('outlook-rows').replaceChildren(...answer.rows.map((r) => {
      const row = document.createElement('tr');
      cell(row, r.spacing, 'th').scope = 'row';
      for (const text of [r.crossings, `${r.closedPercent.toFixed(0)} %`, `${r.fairPercent.toFixed(0)} %`, `${r.unevenPercent.toFixed(1)} %`]) cell(row, text, 'td', 'num');
      cell(row, r.looksRight ? '✔ looks right' : '–');
      return row;
    }));
  } catch (error) { say(byId('outlook-trouble'), error.message); }
  button.disabled = false;
});
ask();
