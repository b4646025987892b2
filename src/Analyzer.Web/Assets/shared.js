// What the pages share: asking the server, building SVG, lengths, the fields for size and pattern.

export const token = document.querySelector('meta[name="workbench-token"]')?.content ?? '';
const svgSpace = 'http://www.w3.org/2000/svg';

/** Asks the server to do something. Gives its answer, or throws an Error with a sentence for the user. */
export async function send(path, body) {
  let answer;
  try {
    answer = await fetch(path, { method: 'POST', headers: { 'X-Workbench-Token': token, 'Content-Type': 'application/json' }, body: JSON.stringify(body ?? {}) });
  } catch {
    throw new Error('The workbench does not answer. If the program was closed, start it again.');
  }
  return read(answer);
}

export async function get(path) {
  let answer;
  try {
    answer = await fetch(path, { headers: { Accept: 'application/json' } });
  } catch {
    throw new Error('The workbench does not answer. If the program was closed, start it again.');
  }
  return read(answer);
}

async function read(answer) {
  if (answer.status === 204) return null;
  let value = null;
  try { value = await answer.json(); } catch { /* told below */ }
  if (!answer.ok) throw new Error(value?.detail ?? 'The workbench gave an answer that was not understood; load the page again.');
  return value;
}

export function svg(name, attributes = {}, parent = null) {
  const element = document.createElementNS(svgSpace, name);
  for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, value);
  parent?.append(element);
  return element;
}

export function say(element, text) {
  element.textContent = text ?? '';
  element.hidden = !text;
}

/** Photo px from block mm, from the four corners: eight equations in eight unknowns. Used for drawing only; measuring is the server's. Null when it cannot be. */
export function photoFromBlock(corners, widthMm, heightMm) {
  const from = [[0, 0], [widthMm, 0], [widthMm, heightMm], [0, heightMm]], rows = [];
  from.forEach(([x, y], i) => {
    const [u, v] = corners[i];
    rows.push([x, y, 1, 0, 0, 0, -u * x, -u * y, u], [0, 0, 0, x, y, 1, -v * x, -v * y, v]);
  });
  for (let c = 0; c < 8; c++) {
    let pivot = c;
    for (let r = c + 1; r < 8; r++) if (Math.abs(rows[r][c]) > Math.abs(rows[pivot][c])) pivot = r;
    if (Math.abs(rows[pivot][c]) < 1e-9) return null;
    [rows[c], rows[pivot]] = [rows[pivot], rows[c]];
    for (let r = 0; r < 8; r++) {
      if (r === c) continue;
      const f = rows[r][c] / rows[c][c];
      if (f !== 0) for (let k = c; k <= 8; k++) rows[r][k] -= f * rows[c][k];
    }
  }
  const h = rows.map((row, i) => row[8] / row[i]);
  return ([x, y]) => { const w = h[6] * x + h[7] * y + 1; return [(h[0] * x + h[1] * y + h[2]) / w, (h[3] * x + h[4] * y + h[5]) / w]; };
}

const minus = (text) => text.replace('-', '−');

/** A small length in the chosen unit, with give or take 2u where u is known. */
export function length(mm, u, unit) {
  const k = unit === 'in' ? 1 / 25.4 : 1, digits = unit === 'in' ? 3 : 2;
  let value = (mm * k).toFixed(digits);
  if (Number(value) === 0) value = (0).toFixed(digits);
  return minus(value) + (u == null ? '' : ` ± ${Math.max(2 * u * k, 10 ** -digits).toFixed(digits)}`) + ' ' + unit;
}

const sizes = { in: [6, 8, 10, 12], cm: [15, 20, 25, 30], mm: [150, 200, 250, 300] };
const spacings = { in: ['1/2', '3/4', '1', '1 1/2', '2'], cm: ['1', '1.5', '2', '2.5', '4'], mm: ['10', '15', '20', '25', '40'] };

/** The fields for size and pattern. Calls changed(grid) with the grid the server works out, or null while the fields make no sense. */
export function choiceForm(changed, options = {}) {
  const byId = (id) => document.getElementById(id), form = byId('choice');
  const [width, height, unit, pattern, spacing, own] = ['width', 'height', 'unit', 'pattern', 'spacing', 'own-lines'].map(byId);
  const trouble = byId('choice-trouble'), planOption = pattern.querySelector('[data-plan]');
  const split = (text) => (text ?? '').trim().match(/^(.*?)\s*(in|cm|mm)$/) ?? ['', text ?? '', 'in'];

  // All fields share one unit; a length told in another is turned into it.
  const inUnit = (text) => {
    const [, told, of] = split(text), value = number(told);
    return of === unit.value || value === null ? told : String(Number((value * inMm[of] / inMm[unit.value]).toFixed(3)));
  };

  const sides = form.dataset.size.split('x'), at = form.dataset.grid.indexOf(':');
  const first = split(sides[0]), name = form.dataset.grid.slice(0, at), space = form.dataset.grid.slice(at + 1);
  unit.value = first[2];
  width.value = first[1];
  height.value = inUnit(sides[sides.length - 1]);
  pattern.value = name;
  if (name === 'lines') own.value = space.split(';').map((line) => line.trim()).join('\n');
  spacing.value = name === 'lines' || name === 'plan' ? (unit.value === 'in' ? '1' : unit.value === 'cm' ? '2.5' : '25') : inUnit(space);

  let tied = width.value === height.value, asked = 0, timer = 0;

  function presets(id, values, press, isOn) {
    const box = byId(id);
    box.replaceChildren(...values.map((value) => {
      const button = document.createElement('button');
      button.type = 'button';
      button.textContent = `${value} ${unit.value}`;
      button.setAttribute('aria-pressed', String(isOn(String(value))));
      button.addEventListener('click', () => { press(String(value)); update(); box.querySelectorAll('button')[values.indexOf(value)].focus(); });
      return button;
    }));
  }

  function draw() {
    byId('spacing-unit').textContent = unit.options[unit.selectedIndex].text;
    byId('own-fields').hidden = pattern.value !== 'lines';
    byId('spacing-fields').hidden = pattern.value === 'lines' || pattern.value === 'plan';
    byId('size-fields').hidden = pattern.value === 'plan';
    presets('size-presets', sizes[unit.value], (v) => { width.value = height.value = v; tied = true; }, (v) => width.value.trim() === v && height.value.trim() === v);
    presets('spacing-presets', spacings[unit.value], (v) => { spacing.value = v; }, (v) => spacing.value.trim() === v);
  }

  const clean = (input) => input.value.trim().replace(',', '.');
  const state = {
    get size() { return `${clean(width)}${unit.value} x ${clean(height)}${unit.value}`; },
    get grid() {
      if (pattern.value === 'plan') return `plan:${planOption.dataset.plan}`;
      if (pattern.value === 'lines') return `lines:${own.value.split('\n').map((line) => line.trim()).filter(Boolean).join('; ')}`;
      return `${pattern.value}:${clean(spacing)}${unit.value}`;
    },
    get unit() { return unit.value; },
    get pattern() { return pattern.value; },
    get spacingMm() { const value = number(clean(spacing)); return value === null ? null : value * inMm[unit.value]; },
    /** Puts a spacing in, told in mm, as a plain number of the chosen unit. */
    setSpacing(mm) { spacing.value = String(Number((mm / inMm[unit.value]).toFixed(unit.value === 'mm' ? 1 : 3))); update(); },
  };

  async function ask() {
    const mine = ++asked;
    if (options.quiet) { changed(state); return; }
    try {
      const grid = await get(`/api/grid?size=${encodeURIComponent(state.size)}&grid=${encodeURIComponent(state.grid)}`);
      if (mine !== asked) return;
      say(trouble, '');
      changed(grid);
    } catch (error) {
      if (mine !== asked) return;
      say(trouble, error.message);
      changed(null);
    }
  }

  function update() {
    draw();
    clearTimeout(timer);
    timer = setTimeout(ask, options.quiet ? 0 : 120);
  }

  width.addEventListener('input', () => { if (tied) height.value = width.value; update(); });
  height.addEventListener('input', () => { tied = false; update(); });
  spacing.addEventListener('input', update);
  own.addEventListener('input', update);
  pattern.addEventListener('change', update);
  let before = unit.value;
  unit.addEventListener('change', () => {
    // The same length in the other unit, where it can be read as a plain number.
    for (const field of [width, height, spacing]) {
      const value = number(clean(field));
      if (value !== null) field.value = String(Number((value * inMm[before] / inMm[unit.value]).toFixed(unit.value === 'mm' ? 1 : 2)));
    }
    before = unit.value;
    update();
  });
  draw();
  ask();
  return state;
}

const inMm = { in: 25.4, cm: 10, mm: 1 };

/** Draws the lines of a grid into a small square picture. */
export function drawGrid(picture, words, grid) {
  picture.replaceChildren();
  words.textContent = grid ? `${grid.lines.length} lines, ${grid.crossings} crossings` : '';
  if (!grid) return;
  const edge = Math.max(grid.widthMm, grid.heightMm), margin = edge * 0.04;
  picture.setAttribute('viewBox', `${-margin - (edge - grid.widthMm) / 2} ${-margin - (edge - grid.heightMm) / 2} ${edge + 2 * margin} ${edge + 2 * margin}`);
  svg('rect', { width: grid.widthMm, height: grid.heightMm, fill: '#f3ecdd', stroke: '#4d5a64', 'stroke-width': edge / 150 }, picture);
  for (const line of grid.lines) svg('line', { x1: line.from[0], y1: line.from[1], x2: line.to[0], y2: line.to[1], class: `f${line.family % 6}`, 'stroke-width': edge / 170 }, picture);
}

/** Sends a file as the body of a request and tells how far it is. Gives { promise, stop }; the promise brings the answer or throws an Error with a sentence. */
export function hand(path, file, progress) {
  const request = new XMLHttpRequest();
  const promise = new Promise((resolve, reject) => {
    request.open('POST', path);
    if (token) request.setRequestHeader('X-Workbench-Token', token);
    request.setRequestHeader('Content-Type', 'application/octet-stream');
    request.upload.onprogress = (e) => { if (e.lengthComputable) progress(e.loaded / e.total); };
    request.onerror = () => reject(new Error('The file could not be handed over. If the program was closed, start it again.'));
    request.onabort = () => reject(new Error(''));
    request.onload = () => {
      let answer = null;
      try { answer = JSON.parse(request.responseText); } catch { /* told below */ }
      if (request.status < 300 && answer) resolve(answer);
      else reject(Object.assign(new Error(answer?.detail ?? 'The file could not be handed over; load the page again.'), { status: request.status }));
    };
    request.send(file);
  });
  return { promise, stop: () => request.abort() };
}

/** "1", "1.5", "3/4" or "1 1/2" as a number, else null. */
export function number(text) {
  const m = text.match(/^(?:(\d+(?:\.\d+)?)|(?:(\d+)\s+)?(\d+)\/(\d+))$/);
  if (!m) return null;
  return m[1] !== undefined ? Number(m[1]) : Number(m[2] ?? 0) + Number(m[3]) / Number(m[4]);
}
